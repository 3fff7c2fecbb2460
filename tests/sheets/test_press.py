"""The printed card: pages, type, tags, the same bytes, and nothing that can hurt it."""

from __future__ import annotations

import json
import re
import struct
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from ropewright.sheets import MOST_PAGES, CheckRow, PressError, pages_png, print_card
from ropewright.sheets import press as press_module
from ropewright.sheets.glyphs import RANGES

from .cards import (
    LADEN,
    NAMES,
    card,
    climbers,
    extracts,
    fonts,
    of_text,
    packed,
    printed,
    reader,
    root,
    tags,
    words,
)

SMALLEST = 8.0


@pytest.mark.parametrize("name", NAMES)
def test_no_card_takes_more_than_two_pages_and_nothing_is_left_out(name: str) -> None:
    found = printed(name)
    assert found.pages == len(reader(found.pdf).pages) <= MOST_PAGES
    assert found.card.left_out == ""


def test_fifteen_examples_take_one_page() -> None:
    assert sum(printed(name).pages == 1 for name in NAMES) >= 15


@pytest.mark.parametrize("name", NAMES)
def test_no_letter_is_smaller_than_eight_points(name: str) -> None:
    sizes = [piece.size for page in extracts(printed(name).pdf) for piece in page.pieces]
    assert len(sizes) > 100
    assert min(sizes) >= SMALLEST - 0.01


@pytest.mark.parametrize("name", NAMES)
def test_a_card_is_tagged_has_a_title_and_says_its_language(name: str) -> None:
    top = root(printed(name).pdf)
    assert top["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in top
    assert top["/Lang"] == "en"
    assert top["/ViewerPreferences"]["/DisplayDocTitle"]
    assert "pdfuaid:part>1<" in top["/Metadata"].get_object().get_data().decode()


@pytest.mark.parametrize("name", ["haul-3-1", "wrong-device-reversed"])
def test_the_picture_has_words_for_people_who_do_not_see_it(name: str) -> None:
    found = printed(name)
    assert found.card.picture is not None
    alts = [tag["/Alt"] for tag in tags(root(found.pdf)["/StructTreeRoot"]) if "/Alt" in tag]
    assert packed(found.card.picture.alt) in [packed(str(alt)) for alt in alts]


@pytest.mark.parametrize("name", NAMES)
def test_every_word_of_the_card_is_found_in_the_pdf(name: str) -> None:
    said = printed(name).card
    text = packed(words(printed(name).pdf))
    foot = f"{said.caution}ropewright{said.version}·{said.file}·{said.time}page1of2"
    text = text.replace(packed(foot), "")  # it may stand in the middle of what is torn between two pages
    assert packed(said.title) in text
    assert said.verdict.replace(" ", "") in text
    assert packed(said.caution) in text
    for section in said.sections:
        for line in (*section.lines, *section.after):
            if line.lead != "SIGN":
                assert packed(line.text) in text, line
        for row in section.rows:
            assert packed(row.what) in text, row
            assert packed(row.how) in text, row
        for cells in section.table.rows if section.table else ():
            assert all(packed(cell) in text for cell in cells), cells


def test_only_fonts_of_the_package_are_embedded() -> None:
    found = set().union(*(fonts(printed(name).pdf) for name in NAMES))
    assert found
    assert all("SourceSansPro" in font for font in found)


@pytest.mark.parametrize("name", ["haul-2-1", "litter-and-attendant"])
def test_the_same_card_gives_the_same_bytes(name: str) -> None:
    assert print_card(card(name)).pdf == printed(name).pdf


def test_version_file_time_and_page_stand_at_the_foot() -> None:
    text = words(printed("haul-9-1").pdf)
    assert "haul-9-1.rig.yaml · 2026-05-04 09:30" in text
    assert "page 1 of 2" in text
    assert "page 2 of 2" in text


@pytest.mark.parametrize("name", ["haul-3-1", "tower-day-lane", "descent-hand-on"])
def test_black_ink_alone(name: str) -> None:
    """No colour and no grey is set on any page, nor inside the picture."""
    for page in reader(printed(name).pdf).pages:
        for data in _streams(page):
            for operands in re.findall(rb"([\d. ]+) (?:rg|RG|g|G|scn|SCN|sc|SC)\b", data):
                shades = {float(x) for x in operands.split()}
                assert shades <= {0.0, 1.0}, operands


def _streams(page: Any) -> list[bytes]:
    forms = page["/Resources"].get("/XObject", {}).values()
    return [page.get_contents().get_data(), *(form.get_object().get_data() for form in forms)]


def test_us_letter_paper_is_its_own_size() -> None:
    box = reader(print_card(card("descent-hand-on"), "us-letter").pdf).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (612, 792)


def test_png_pages_have_the_dots_asked_for() -> None:
    pages = pages_png(printed("haul-9-1"), dots=150)
    assert len(pages) == 2
    assert [struct.unpack(">II", page[16:24]) for page in pages] == [(1240, 1754)] * 2


@pytest.mark.parametrize("name", NAMES)
def test_nothing_runs_into_the_foot(name: str) -> None:
    found = printed(name)
    pages = extracts(found.pdf)
    for number, page in enumerate(pages, 1):
        top = next(p.height for p in page.pieces if p.text.strip().startswith("Computed"))
        low = packed("".join(p.text for p in page.pieces if abs(p.height - top) < 12))
        said = found.card
        foot = f"{said.caution}ropewright{said.version}·{said.file}·{said.time}page{number}of{len(pages)}"
        assert low == packed(foot)


LONG = ("tower-day-ascent", "self-haul-double-and-single-crew")
"""Examples whose tables fill more than a page's columns leave."""


@pytest.mark.parametrize("name", [name for name in NAMES if name not in LONG])
def test_no_table_is_torn_on_a_card_that_has_room(name: str) -> None:
    found = printed(name)
    if found.pages > 1:
        assert found.together
        assert found.alone
        for section in found.card.sections:
            if section.table is not None or section.rows or section.key == "who":
                assert f"{section.title}, continued" not in words(found.pdf)


def test_a_table_that_is_torn_says_whose_it_is_and_has_its_head_again() -> None:
    torn = 0
    for name in NAMES:
        found = printed(name)
        for section in found.card.sections:
            times = words(found.pdf).count(f"{section.title}, continued")
            if section.table is not None and times:
                torn += 1
                assert words(found.pdf).count(" ".join(section.table.head)) == 1 + times
            if section.rows and times:
                torn += 1
                assert words(found.pdf).count("connection, and how it has to be") == 1 + times
    assert torn


def test_two_page_cards_have_the_check_in_one_column() -> None:
    assert printed("haul-9-1").alone
    assert not printed("descent-hand-on").alone


def test_sixty_components_fit_on_two_pages_and_what_is_left_out_is_said() -> None:
    many = of_text(climbers(5))
    found = print_card(many)
    assert found.pages == 2
    text = words(found.pdf)
    assert "LEFT OUT for want of room: the picture" in text
    section = many.section("check")
    assert section is not None
    assert all(packed(row.what) in packed(text) for row in section.rows)


def test_a_rig_too_large_for_two_pages_keeps_its_whole_check() -> None:
    many = card("litter-and-attendant")
    rows = tuple(CheckRow(f"row {k}", "as it should be, and said at some length") for k in range(300))
    sections = tuple(replace(s, rows=rows) if s.key == "check" else s for s in many.sections)
    found = print_card(replace(many, sections=sections))
    text = words(found.pdf)
    assert found.pages > 2
    assert all(f"row {k}: as it should be" in text for k in range(300))
    assert "LEFT OUT for want of room: the picture" in text


BUNDLED = ("SourceSansPro", "LibertinusSerif", "NewCM", "DejaVuSansMono")
"""The typeface of sheets, and the typesetter's own for letters that it lacks."""

HOSTILE = [
    '#import "x"; *bold* _it_ $x$ `raw` <label> @ref // note /* */ = head',
    "</svg><script>alert(1)</script><!-- ]]> &amp; &#0;",
    "漢字 and עברית",
    "(((\\\\ \\n %%EOF endobj stream",
    "W" * 200,
]


@pytest.mark.parametrize("words_in", HOSTILE)
def test_hostile_words_are_printed_as_words(words_in: str) -> None:
    text = LADEN.format(title=json.dumps(words_in), about=json.dumps(words_in))
    found = print_card(of_text(text))
    assert found.pages <= 2
    shown = packed(words(found.pdf))
    plain = "".join(c for c in words_in if any(a <= ord(c) <= b for a, b in RANGES) and not c.isspace())
    for run in re.findall(r"[A-Za-z(#*$<>&]{3,}", plain[:40]):
        assert run in shown
    if "漢" in words_in:
        assert "\\u6f22" in shown


@pytest.mark.parametrize(("low", "high"), RANGES)
def test_every_letter_that_is_let_through_can_be_printed(low: int, high: int) -> None:
    letters = " ".join(chr(code) for code in range(low, high + 1))
    found = print_card(replace(card("wrong-device-reversed"), title=letters, policy=letters))
    assert all(any(name in font for name in BUNDLED) for font in fonts(found.pdf))


def test_what_the_typesetter_refuses_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    import typst

    class Refusing:
        def compile(self, **_: object) -> bytes:
            raise typst.TypstError("a line\nand another")  # type: ignore[call-arg]

    monkeypatch.setattr(press_module, "_compiler", Refusing)
    with pytest.raises(PressError) as caught:
        print_card(card("haul-2-1"))
    assert "can't be printed: a line and another" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_ranges_rise() -> None:
    assert all(a[1] < b[0] for a, b in pairwise(RANGES))
