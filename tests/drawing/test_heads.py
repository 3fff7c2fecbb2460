"""Heads in pictures: no link and no free end is drawn across them where there is room."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.drawing import Layout, lay_out
from ropewright.drawing.cluster import Placed
from ropewright.drawing.frame import SMALL
from ropewright.drawing.geometry import from_line
from ropewright.drawing.heads import head_at
from ropewright.drawing.symbols import HEAD
from ropewright.rig import read_rig

from .subjects import quick_subject

FOLDER = Path(__file__).parents[2] / "examples" / "procedures"
LINK = """
ropes:
  link:
    is: rope-11-dynamic
    length: 2.5
    run: [tie descender with figure-eight-bight, tie subject with figure-eight-bight]
"""


def _laid_out(name: str, more: Mapping[str, str]) -> Layout:
    text = (FOLDER / f"{name}.rig.yaml").read_text("utf-8")
    for old, new in more.items():
        text = text.replace(old, new)
    return lay_out(quick_subject(read_rig(text, load_catalogue())), "side", 0.0, SMALL)


def _nearest(layout: Layout, person: str) -> float:
    """How near the middle of a head any rope is drawn."""
    placed = Placed(layout.spots, layout.at, layout.axis)
    head = head_at(layout.tree, placed, person, layout.side[person])
    return min(from_line(head, s.start, s.end) for s in layout.strands)


@pytest.mark.parametrize("person", ["rescuer", "subject"])
def test_a_link_between_two_people_crosses_no_head(person: str) -> None:
    assert _nearest(_laid_out("beside-a-suspended-person", {"\nropes:\n": LINK}), person) > HEAD


def test_a_free_end_hangs_past_the_head_under_it() -> None:
    more = {"\ngear:\n": "\ngear:\n  descender: {is: descender-self-braking, at: student}\n"}
    assert _nearest(_laid_out("lane-on-clamps", more), "student") > HEAD


def test_a_head_stays_on_the_side_away_from_what_hangs_beside_it() -> None:
    plain = _laid_out("beside-a-suspended-person", {})
    assert {name: side for name, side in plain.side.items() if name in ("rescuer", "subject")} == {
        "rescuer": 1,
        "subject": -1,
    }
