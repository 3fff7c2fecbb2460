"""What must hold for every example and for random rigs, in both views where they differ.

``ROPEWRIGHT_DRAWINGS`` says how many random rigs; `make test-long` draws three hundred.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.drawing import View, compose, finish
from ropewright.quantity import show_force
from tests.drawing.checks import contacts_once, labels_apart, ropes_run_true, svg_is_plain
from tests.drawing.subjects import EXAMPLES, RANDOM, drawn, quick_subject, rig_of

IN_SPACE = (2, 6, 9)  # the kinds of random rig, by their last digit, that leave the plane of the side view
CASES: list[tuple[Path | int, View]] = [
    *((path, "side") for path in EXAMPLES),
    *((seed, "side") for seed in RANDOM),
    *((path, "plan") for path in EXAMPLES if "three-legs" in path.name),
    *((seed, "plan") for seed in RANDOM if seed % 10 in IN_SPACE),
]


def name(value: object) -> str:
    return value.name.removesuffix(".rig.yaml") if isinstance(value, Path) else str(value)


@pytest.mark.parametrize(("source", "view"), CASES, ids=name)
def test_a_drawing_can_be_read(source: Path | int, view: View) -> None:
    drawing = drawn(source, view)
    assert labels_apart(drawing) == []
    assert ropes_run_true(drawing) == []
    assert contacts_once(drawing) == []
    assert svg_is_plain(finish(drawing, "both")) == []


@pytest.mark.parametrize("source", [*EXAMPLES, *RANDOM[::10]], ids=name)
def test_the_same_rig_gives_the_same_bytes(source: Path | int) -> None:
    first = finish(drawn(source), "both")
    again = finish(compose(quick_subject(rig_of(source))), "both")
    assert first.svg.encode() == again.svg.encode()


def test_every_part_and_every_taut_strand_has_its_label() -> None:
    for path in EXAMPLES:
        drawing = drawn(path)
        words = " | ".join(settled.label.words for settled in drawing.labels)
        for part in drawing.layout.tree.bodies:
            assert part in words, (path.name, part)
        for stretch in drawing.layout.subject.stretches:
            if stretch.tension and not stretch.slack:
                assert show_force(stretch.tension) in words, (path.name, stretch)
