"""The named angles of the examples, against their values by hand."""

from __future__ import annotations

import math

import pytest

from ropewright.drawing.angles import named_angles
from tests.drawing.subjects import EXAMPLES, drawn, quick_subject, rig_of

PATHS = {path.name.removesuffix(".rig.yaml"): path for path in EXAMPLES}


@pytest.mark.parametrize(
    ("example", "part", "kind", "degrees"),
    [
        ("redirect-60-degrees", "corner", "interior", 60),
        ("anchor-two-legs", "master", "interior", 90),
        ("parapet-roller", "lip", "deflection", 90),
        # a sag of 7.5 m and a little more in 30 m: 2·atan(30/7.5) and less
        ("highline-60-m", "carriage", "interior", 150),
    ],
)
def test_an_angle_is_what_it_is_by_hand(example: str, part: str, kind: str, degrees: float) -> None:
    found = [a for a in named_angles(quick_subject(rig_of(PATHS[example]))) if a.part == part]
    assert [a.kind for a in found] == [kind]
    assert math.degrees(found[0].value) == pytest.approx(degrees, abs=2)


def test_no_angle_is_named_between_strands_of_which_one_hangs_slack() -> None:
    subject = quick_subject(rig_of(PATHS["tower-day-lane"]))
    assert any(s.slack for s in subject.stretches)
    assert named_angles(subject) == ()


def test_three_legs_in_space_have_the_angle_that_their_places_give() -> None:
    found = named_angles(quick_subject(rig_of(PATHS["anchor-three-legs"])))
    assert len(found) == 2
    assert all(not a.flat for a in found)
    # legs from (0, 0, 8.5−) to 2 m off the middle and 2.5 m up, 120° round from each other
    assert [math.degrees(a.value) for a in found] == pytest.approx([65, 65], abs=1)


def test_a_named_angle_is_drawn_as_it_is_or_says_that_it_is_not() -> None:
    for path in EXAMPLES:
        words = [s.label.words for s in drawn(path).labels]
        for named in drawn(path).layout.angles:
            name = "interior angle" if named.kind == "interior" else "deflection"
            assert any(w.startswith(f"{name} {math.degrees(named.value):.0f}°") for w in words), (
                path.name,
                named,
            )
