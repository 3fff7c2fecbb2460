"""The printed sheets of procedures: pages, type, tags, the same bytes, every word, and nothing that hurts."""

from __future__ import annotations

import io
import json
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from ropewright.sheets.glyphs import RANGES
from ropewright.sheets.leaf_press import leaf_png, print_leaf
from ropewright.sheets.leaf_text import WIDTH, leaf_text
from ropewright.sheets.procedure_sheets import SHEETS

from .cards import extracts, packed, root, tags, words
from .stories import NAMES, WRONG, leaf, made, printed

KEYS = list(SHEETS)
EVERY = [(name, key) for name in NAMES for key in KEYS]
SMALLEST = 8.0


@pytest.mark.parametrize(("name", "key"), EVERY)
def test_no_letter_is_smaller_than_eight_points(name: str, key: str) -> None:
    sizes = [piece.size for page in extracts(printed(name, key).pdf) for piece in page.pieces]
    assert len(sizes) > 50
    assert min(sizes) >= SMALLEST - 0.01


@pytest.mark.parametrize(("name", "key"), EVERY)
def test_a_sheet_is_tagged_and_says_its_language(name: str, key: str) -> None:
    top = root(printed(name, key).pdf)
    assert top["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in top
    assert top["/Lang"] == "en"
    assert "pdfuaid:part>1<" in top["/Metadata"].get_object().get_data().decode()


@pytest.mark.parametrize(("name", "key"), EVERY)
def test_black_ink_alone(name: str, key: str) -> None:
    for page in PdfReader(io.BytesIO(printed(name, key).pdf)).pages:
        resources: Any = page["/Resources"]
        forms = resources.get("/XObject", {})
        contents: Any = page.get_contents()
        streams = [contents.get_data(), *(f.get_object().get_data() for f in forms.values())]
        for data in streams:
            for operands in re.findall(rb"([\d. ]+) (?:rg|RG|g|G|scn|SCN|sc|SC)\b", data):
                assert {float(x) for x in operands.split()} <= {0.0, 1.0}, operands


def _said(name: str, key: str) -> list[str]:
    """Every text that a sheet has to show, pictures left out."""
    out = [leaf(name, key).title, leaf(name, key).verdict, leaf(name, key).judged]
    for block in leaf(name, key).blocks:
        scenes = block.scenes
        for line in (
            *leaf(name, key).wrong,
            *block.lines,
            *block.after,
            *(x for s in scenes for x in s.lines),
        ):
            out += [line.lead, line.text, line.then]
        out += [cell for row in block.table for cell in row]
        out += [b.label for row in block.blanks for b in row] + [b.value for r in block.blanks for b in r]
        for step in (*block.steps, *(x for s in scenes for x in s.steps)):
            out += [step.number, step.doer, step.text, *step.boxes]
            out += [step.critical] if not scenes else []
            out += [text for note in step.notes for text in (note.lead, note.text, note.then)]
        for check in block.checks:
            out += [check.what, check.how, *check.boxes]
    return [text for text in out if text]


@pytest.mark.parametrize(("name", "key"), EVERY)
def test_pdftotext_finds_every_word_of_the_sheet(name: str, key: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(printed(name, key).pdf)
    raw = subprocess.run(["pdftotext", "-raw", str(path), "-"], capture_output=True, check=True)
    found = packed(raw.stdout.decode())
    torn = re.sub(r"Computedfromwhatwasentered.*?page\dof\d", "", found)
    for text in _said(name, key):
        assert packed(text) in found or packed(text) in torn, text


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("key", ["skill-sheet", "brief"])
def test_no_step_is_torn_between_two_pages(name: str, key: str) -> None:
    pages = [packed(page.text.replace("\u00a0", " ")) for page in extracts(printed(name, key).pdf)]
    steps = leaf(name, key).block("steps")
    assert steps is not None
    for step in steps.steps:
        if step.critical:
            both = packed(f"{step.text}CRITICAL{step.critical}")
            assert any(both in page for page in pages), both


@pytest.mark.parametrize("name", NAMES)
def test_the_result_never_stands_alone_on_a_page(name: str) -> None:
    last = extracts(printed(name, "skill-sheet").pdf)[-1]
    steps = leaf(name, "skill-sheet").block("steps")
    assert steps is not None
    found = packed(last.text.replace("\u00a0", " "))
    assert "Result" in found
    for step in steps.steps[-3:]:
        assert packed(step.text) in found


@pytest.mark.parametrize(("name", "key"), EVERY)
def test_plain_text_has_the_same_words(name: str, key: str) -> None:
    text = leaf_text(leaf(name, key))
    assert max(map(len, text.split("\n"))) <= WIDTH + 40  # a table's last cell is not wrapped
    flat = packed(text.replace("[ ]", ""))
    for said in _said(name, key):
        assert packed(said).replace("→", "->") in flat, said


@pytest.mark.parametrize("key", KEYS)
def test_the_same_sheet_gives_the_same_bytes(key: str) -> None:
    assert print_leaf(SHEETS[key](leafless())).pdf == printed(NAMES[0], key).pdf


def leafless() -> Any:
    """The first example read and proved anew."""
    from .stories import FILES, story_of

    return story_of(FILES[0])


def test_us_letter_paper_is_its_own_size() -> None:
    box = PdfReader(io.BytesIO(print_leaf(leaf(NAMES[0], "brief"), "us-letter").pdf)).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (612, 792)


def test_png_has_a_picture_for_each_page() -> None:
    found = printed(NAMES[0], "storyboard")
    assert len(leaf_png(leaf(NAMES[0], "storyboard"), found.size)) == found.pages


@pytest.mark.parametrize("name", NAMES)
def test_pictures_have_words_for_people_who_do_not_see_them(name: str) -> None:
    alts = [
        str(t["/Alt"]) for t in tags(root(printed(name, "storyboard").pdf)["/StructTreeRoot"]) if "/Alt" in t
    ]
    wanted = [s.picture.alt for b in leaf(name, "storyboard").blocks for s in b.scenes if s.picture]
    assert [packed(a) for a in alts] == [packed(a) for a in wanted]
    assert len(set(wanted)) == len(wanted)


HOSTILE = [
    '#import "x"; *bold* _it_ $x$ `raw` <label> @ref // note /* */ = head',
    "</svg><script>alert(1)</script><!-- ]]> &amp; &#0;",
    "漢字 and עברית",
    "(((\\\\ \\n %%EOF endobj stream",
    "W" * 190,
]


@pytest.mark.parametrize("words_in", HOSTILE)
def test_hostile_words_are_printed_as_words(words_in: str, tmp_path: Path) -> None:
    bad = json.dumps(words_in, ensure_ascii=False)
    text = WRONG.replace("Everything in the wrong order", bad).replace("role: candidate", f"role: {bad}")
    text += f"about: {bad}\ngiven: {bad}\nlevel: {bad}\nstandard: {bad}\nstop-when: [{bad}]\n"
    text += f"words: {{change-over: {bad}}}\n"
    told = made(tmp_path, text)
    for key, make in SHEETS.items():
        sheet = make(told)
        for found in (words(print_leaf(sheet).pdf), leaf_text(sheet)):
            plain = "".join(c for c in words_in if any(a <= ord(c) <= b for a, b in RANGES))
            for run in re.findall(r"[A-Za-z(#*$<>&]{3,}", plain[:40]):
                assert run in packed(found), (key, run)
            assert ("漢" in words_in) == ("\\u6f22" in found)
            assert not any(ord(c) < 32 and c != "\n" for c in found)
