"""What is asked of a rig as drawn is asked of its whole way: lowered to the end, hauled off the ground."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from ropewright.judgement.examine import examine
from ropewright.judgement.findings import findings
from ropewright.judgement.rules import Finding
from ropewright.rig import read_rig
from tests.judgement.small import CATALOGUE

EXAMPLES = Path(__file__).parents[2] / "examples"
SECOND = (EXAMPLES / "lower-main-and-second.rig.yaml").read_text()
FLOOR = "floor:       {kind: ground, at: [0, 0]}"

TWO_LINES = """
rig: Two lines
points:
  a: {{kind: anchor, at: [-0.3, {top}], strength: 40 kN}}
  b: {{kind: anchor, at: [0.3, {top}], strength: 40 kN}}
  floor: {{kind: ground, at: [0, 0]}}
loads:
  w: {{kind: person, mass: {mass}, at: [-0.3, {at}], wears: harness}}
crews:
  one: {{at: [-3, {top}], people: {people}}}
  other: {{at: [3, {top}], people: {people}}}
gear:
  p: {{is: lower-raise-device, at: a{state}}}
  q: {{is: lower-raise-device, at: b{state}}}
ropes:
  main: {{is: rope-12.5-low-stretch, length: 100, run: [tie w with figure-eight-bight, through p, hand one]}}
  second:
    is: rope-12.5-low-stretch
    length: 100
    run: [tie w with figure-eight-bight, through q slack {slack}, hand {who}]
{move}
assume:
  harness: {{strength: 15 kN, user-mass: 140}}
  lower-raise-device: {{user-mass: 280}}
"""


@cache
def found(text: str) -> tuple[Finding, ...]:
    return findings(examine(read_rig(text, CATALOGUE), CATALOGUE, samples=64), "metric")


def told(text: str, code: str) -> list[tuple[str, str]]:
    return [(f.level, f.text) for f in found(text) if f.code == code]


def lines(
    move: str, *, top: float, at: float, slack: float, mass: int = 100, people: int = 6, who: str = ""
) -> str:
    state = ", state: in-hand" if "lower" in move else ""
    who = who or "other"
    return TWO_LINES.format(
        move=move, top=top, at=at, slack=slack, mass=mass, people=people, who=who, state=state
    )


def test_a_drop_that_is_too_far_only_where_the_rope_is_long_is_told_where_it_is() -> None:
    """The rope is 62 m long at the end, and stretches more than the policy lets anybody drop."""
    lowered = lines("lower: {load: w, down: 60}", top=82, at=80, slack=0.1, mass=200)
    ((level, text),) = told(lowered, "drop-too-far")
    assert level == "stop"
    assert text.startswith("after 60 m down, if a fails, w drops 1.")
    drawn_there = lines("lower: {load: w, down: 0.5}", top=82, at=20, slack=0.1, mass=200)
    ((level, text),) = told(drawn_there, "drop-too-far")
    assert level == "stop"
    assert text.startswith("if a fails, w drops 1.")


def test_a_lowering_is_looked_at_to_its_very_last() -> None:
    """What is left above the ground at 98 % of the way would just do; at the end it does not."""
    low = lines("lower: {load: w, down: 35}", top=44, at=36.4, slack=0.1, mass=200)
    assert any(text.startswith("after 35 m down, ") for _, text in told(low, "falls-later"))
    assert not told(lines("lower: {load: w, down: 30}", top=44, at=36.4, slack=0.1, mass=200), "falls-later")


def test_clearance_is_asked_for_at_the_end_too() -> None:
    strict = f"{SECOND}policy: {{least-clearance: 1}}\n".replace("slack 0.4", "slack 0.05")
    ((level, text),) = told(strict, "too-little-clearance")
    assert level == "stop"
    assert text.startswith("after 7 m down, if main-ring fails, litter comes within 0.")
    assert not told(strict.replace("down: 7", "down: 3"), "too-little-clearance")


@pytest.mark.parametrize("height", [0.0, 0.04])
def test_somebody_hauled_off_the_ground_is_judged_as_once_they_hang(height: float) -> None:
    up = "haul: {load: w, up: 8}"
    ((level, text),) = told(lines(up, top=14, at=height, slack=30), "single-failure")
    assert level == "stop"
    assert text.startswith("off the ground, if any one of these fails, w falls: a, p,")
    assert not told(lines(up, top=14, at=height, slack=0.1), "single-failure")
    assert not told(lines(up, top=14, at=height, slack=30), "stands-on-ground")


@pytest.mark.parametrize("aside", ["stand, at: [-3, 8]", "ground, at: [60, 8]"])
def test_what_lies_aside_is_nothing_to_stand_on(aside: str) -> None:
    assert FLOOR in SECOND
    slack = SECOND.replace("second-device slack", "second-device slack 3 #")
    assert slack != SECOND
    near = slack.replace(FLOOR, f"{FLOOR}\n  beside:      {{kind: {aside}}}")
    assert {f.code for f in found(near)} == {f.code for f in found(slack)}
    assert "stands-on-ground" not in {f.code for f in found(near)}


def test_ground_right_under_a_load_ends_its_way_though_lower_ground_is_nearer() -> None:
    bank = SECOND.replace(FLOOR, f"{FLOOR}\n  bank:        {{kind: ground, at: [0.1, 5]}}")
    ((level, text),) = told(bank, "cannot-reach")
    assert level == "stop"
    assert text.endswith("then litter stands on bank")


def test_one_crew_on_two_ropes_shares_its_pull_among_them() -> None:
    alone = lines("haul: {load: w, up: 3}", top=14, at=4, slack=0, who="other")
    shared = lines("haul: {load: w, up: 3}", top=14, at=4, slack=0, who="one")
    assert told(alone, "crew-too-weak") == []
    ((level, text),) = told(shared, "crew-too-weak")
    assert level == "stop"
    assert "at one, on 2 ropes together" in text


HARDER = """
rig: Strands that turn apart
points:
  a: {{kind: anchor, at: [-3, 12], strength: 36 kN}}
  b: {{kind: anchor, at: [3, 12], strength: 36 kN}}
  s: {{kind: anchor, at: [-0.5, 14], strength: 36 kN}}
  floor: {{kind: ground, at: [0, 0]}}
loads:
  w: {{kind: person, mass: 75, at: [0, 3], wears: harness}}
crews:
  c: {{at: [6, 12], people: 4}}
gear:
  p: {{is: lower-raise-device, at: b}}
  t: {{is: pulley-single, at: w}}
  k: {{is: running-back-up, at: w}}
ropes:
  one:
    is: rope-12.5-low-stretch
    length: 60
    run: [tie a with figure-eight-bight, through t, through p, hand c]
  two: {{is: rope-12.5-low-stretch, length: 60, run: [tie s with figure-eight-bight, grip k slack 0.3, tail]}}
haul: {{load: w, up: {up}}}
assume:
  harness: {{strength: 15 kN, user-mass: 140}}
  p: {{user-mass: 280}}
  k: {{user-mass: 140}}
"""


def test_a_crew_has_to_be_enough_to_the_end_of_a_stroke() -> None:
    assert told(HARDER.format(up=3), "crew-too-weak") == []
    ((level, text),) = told(HARDER.format(up=7), "crew-too-weak")
    assert level == "stop"
    assert text.startswith(
        "near the end of a stroke, 6.86 m on the way, the haul takes 0.77 kN at c; 4 people"
    )


def test_an_end_of_a_haul_without_an_answer_is_open() -> None:
    (end,) = (f for f in found(HARDER.format(up=8)) if f.code == "end-not-solved")
    assert (end.level, end.open) == ("question", True)


def test_slack_that_grows_beyond_what_may_be_dropped_is_a_stop() -> None:
    fixed = lines("haul: {load: w, up: UP}", top=30, at=10, slack=0.1)
    fixed = fixed.replace("through q slack 0.1, hand other", "tie b with figure-eight-bight slack 0.1")
    fixed = fixed.replace("  q: {is: lower-raise-device, at: b}\n", "")
    for up, level in (("12", "stop"), ("0.5", "caution")):
        ((said, text),) = told(fixed.replace("UP", up), "back-up-follows")
        assert said == level
        assert "more slack on the way" in text


def several_ropes(people: int, *, mass: int) -> str:
    """An object on three ropes over plain sheaves, all three in the same hands."""
    names = (("one", "p", "a", -0.3), ("two", "q", "b", 0.0), ("three", "r", "d", 0.3))
    points = "".join(f"  {a}: {{kind: anchor, at: [{x}, 12], strength: 36 kN}}\n" for _, _, a, x in names)
    gear = "".join(f"  {g}: {{is: pulley-single, at: {a}}}\n" for _, g, a, _ in names)
    ropes = "".join(
        f"  {r}: {{is: rope-12.5-low-stretch, length: 60, "
        f"run: [tie w with figure-eight-bight, through {g}, hand c]}}\n"
        for r, g, _, _ in names
    )
    return (
        f"rig: Several ropes in one hand\npoints:\n{points}  floor: {{kind: ground, at: [0, 0]}}\n"
        f"loads: {{w: {{kind: object, mass: {mass}, at: [0, 6]}}}}\n"
        f"crews: {{c: {{at: [3, 11.8], people: {people}}}}}\ngear:\n{gear}ropes:\n{ropes}"
    )


def test_whoever_keeps_several_ropes_still_has_one_grip_for_them_all() -> None:
    ((level, text),) = told(several_ropes(1, mass=60), "hands-too-weak")
    assert level == "stop"
    assert text.startswith("at rest the hands of c have to hold 0.5")
    assert told(several_ropes(5, mass=60), "hands-too-weak") == []
