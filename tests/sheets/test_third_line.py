"""A third line on an example: the card keeps its picture, and its tables can be read."""

from __future__ import annotations

import re

import pytest

from ropewright.sheets import MOST_PAGES, Paper, print_card

from .cards import FOLDER, extracts, of_text, packed, reader, words

THIRD = """
  third:
    is: rope-12.5-low-stretch
    length: 60
    run: [tie {load} with figure-eight-bight, through third-device slack 0.2, hand third-hand]
"""


def _third(name: str, load: str, at: float, more: str = "") -> str:
    """An example with a third rope to an anchor that far right, a device and a hand of its own."""
    text = (FOLDER / f"{name}.rig.yaml").read_text("utf-8")
    ring = f"  third-ring: {{kind: anchor, at: [{at}, 12], strength: 36 kN}}\n"
    text = text.replace("\nloads:", f"{ring}\nloads:", 1)
    hand = f"  third-hand: {{at: [{at + 3}, 12], people: 1}}\n"
    text = text.replace("\ncrews:\n", f"\ncrews:\n{hand}", 1)
    device = "  third-device: {is: lower-raise-device, at: third-ring, state: in-hand}\n"
    text = text.replace("\nropes:", f"{device}\nropes:", 1)
    first = re.search(r"\n(haul|lower):", text)
    assert first is not None
    return text[: first.start()] + THIRD.format(load=load) + more + text[first.start() :]


COMPLEX = _third("haul-9-1", "weight", -0.9, "\nlower: {load: weight, down: 0.5}\n")


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_a_picture_too_wide_for_the_page_has_the_last_page_across(paper: Paper) -> None:
    many = of_text(COMPLEX)
    found = print_card(many, paper)
    pages = reader(found.pdf).pages
    assert len(pages) == found.pages == MOST_PAGES + 1
    assert found.card.left_out == ""
    assert [float(p.mediabox.width) > float(p.mediabox.height) for p in pages] == [False, False, True]
    assert "The picture is on the last page." in words(found.pdf)
    last = extracts(found.pdf)[-1]
    assert many.title in last.text
    assert packed(many.picture_note) in packed(last.text)
    assert "third-ring" in last.text
    assert min(piece.size for piece in last.pieces) >= 8.0 - 0.01


def test_names_that_figures_leave_no_room_stand_over_them() -> None:
    found = print_card(of_text(COMPLEX))
    tensions = found.card.section("tensions")
    assert tensions is not None
    assert tensions.table is not None
    lines = {line.strip() for page in extracts(found.pdf) for line in page.text.splitlines()}
    assert {row[0] for row in tensions.table.rows} <= lines


def test_names_stand_beside_figures_where_there_is_room() -> None:
    found = print_card(of_text(_third("lower-main-and-second", "litter", 0.9)))
    assert re.search(r"main: litter to main-device\s+1\.77", words(found.pdf))


def test_a_third_line_that_hangs_slack_beside_two_tight_ones_is_printed() -> None:
    made = of_text(_third("lower-two-tensioned", "litter", 0.9))
    section = made.section("check")
    assert section is not None
    assert all(isinstance(row.strong, bool) for row in section.rows)
    assert print_card(made).card.left_out == ""
