"""Rigs that share nothing, put in one file, are each judged as alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from ropewright.judgement.examine import examine
from ropewright.judgement.findings import findings
from ropewright.judgement.lanes import lane_of
from ropewright.judgement.report import report
from ropewright.rig import Contact, Gear, Motion, Rig, Rope, read_rig
from tests.judgement.small import CATALOGUE

EXAMPLES = Path(__file__).parents[2] / "examples"
ASIDE = 64.0
"""How far [m] the second rig is moved aside: a power of two, so that no length is rounded otherwise."""
STILL = (
    ("tower-day-lane", "descent-locked-off"),
    ("tower-day-lane", "tower-day-lane"),
    ("anchor-two-legs", "descent-bar-rack"),
    ("descent-hand-off", "tower-day-lane"),
    ("descent-hand-on", "anchor-three-legs"),
)
MOVED = (
    ("haul-3-1", "haul-3-1"),
    ("lower-main-and-second", "descent-locked-off"),
    ("haul-5-1-complex", "haul-3-1"),
    ("lower-main-and-second", "lower-main-and-second"),
)
SLACKS = """
rig: A lane with a back-up
points:
  ring:   {kind: anchor, at: [0, 12], strength: 36 kN}
  spare:  {kind: anchor, at: [0.3, 12], strength: 36 kN}
loads:
  person: {kind: person, mass: MASS, at: [0, 6], wears: harness}
gear:
  clamp:  {is: chest-clamp, at: person}
  backup: {is: running-back-up, at: person}
ropes:
  main: {is: rope-11-low-stretch, length: 30, run: [tie ring with figure-eight-bight, grip clamp, tail]}
  second:
    is: rope-11-low-stretch
    length: 30
    run: [tie spare with figure-eight-bight, grip backup slack SLACK, tail]
"""


def lane(mass: float, slack: float) -> Rig:
    return read_rig(SLACKS.replace("MASS", str(mass)).replace("SLACK", str(slack)), CATALOGUE)


def shipped(name: str) -> Rig:
    return read_rig((EXAMPLES / f"{name}.rig.yaml").read_text(encoding="utf-8"), CATALOGUE)


def renamed(rig: Rig, aside: float = ASIDE) -> Rig:
    """The same rig beside itself, every part with another name."""

    def named(name: str) -> str:
        return f"{name}-b"

    def shifted(at: Any) -> Any:
        return None if at is None else named(at) if isinstance(at, str) else (at[0], at[1] + aside, at[2])

    def parts(section: Mapping[str, Any]) -> dict[str, Any]:
        return {named(n): replace(p, name=named(n), at=shifted(p.at)) for n, p in section.items()}

    def met(contact: Contact) -> Contact:
        return replace(contact, target=contact.target and named(contact.target))

    def way(asked: Motion | None) -> Motion | None:
        return asked and replace(asked, load=named(asked.load))

    def gear(item: Gear) -> Gear:
        return replace(item, over=tuple(map(named, item.over)))

    def rope(item: Rope) -> Rope:
        return replace(item, name=named(item.name), run=tuple(met(c) for c in item.run))

    own = {p.name for p in rig.parts()}
    return replace(
        rig,
        points=parts(rig.points),
        loads=parts(rig.loads),
        crews=parts(rig.crews),
        gear={n: gear(g) for n, g in parts(rig.gear).items()},
        ropes={named(n): rope(r) for n, r in rig.ropes.items()},
        haul=way(rig.haul),
        lower=way(rig.lower),
        assume={named(n) if n in own else n: v for n, v in rig.assume.items()},
    )


def together(a: Rig, b: Rig) -> Rig:
    return replace(
        a,
        points={**a.points, **b.points},
        loads={**a.loads, **b.loads},
        crews={**a.crews, **b.crews},
        gear={**a.gear, **b.gear},
        ropes={**a.ropes, **b.ropes},
        assume={**a.assume, **b.assume},
    )


def still(rig: Rig) -> Rig:
    return replace(rig, haul=None, lower=None)


def judged(rig: Rig) -> tuple[set[tuple[str, ...]], dict[str, Any]]:
    """What is found, and the report; what is told of the file as a whole is left out."""
    x = examine(rig, CATALOGUE, samples=64)
    found = findings(x, "metric")
    said: set[tuple[str, ...]] = {
        (f.level, f.code, f.text, f.part, f.repair) for f in found if f.code != "assumptions"
    }
    return said, report(x, "metric", found)


def figures(said: Mapping[str, Any]) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Every figure of a report that is about one part or one load, under what it is about."""
    for row in said["parts"]:
        yield ("part", row["part"]), row
    for row in said["holding"]["single_failures"]:
        yield ("fails", row["fails"], row["load"]), row
    for row in said["holding"]["hands_off"]:
        yield ("hands off", row["load"]), row
    for row in said["chains"]:
        yield ("chains", row["load"]), row
    for row in (said["rest"] or {"tensions": []})["tensions"]:
        yield ("at rest", row["rope"], row["from"], row["to"]), row
    for row in said["ropes"]:
        yield ("rope", row["rope"]), row
    for motion in (said["haul"], said["lower"]):
        if motion is not None:
            own = ("tensions", "points")
            yield ("motion",), {key: value for key, value in motion.items() if key not in own}


def alike(one: Any, other: Any) -> bool:
    """Whether two figures are the same to the last digit but one that a report prints."""
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(alike(one[k], other[k]) for k in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float):
        return other is not None and one == pytest.approx(other, rel=2e-5, abs=2e-4)
    return bool(one == other)


def differences(alone: Mapping[str, Any], both: Mapping[str, Any]) -> list[str]:
    known = dict(figures(both))
    return [
        f"{key}: {row} alone, {known.get(key)} beside another"
        for key, row in figures(alone)
        if not alike(row, known.get(key))
    ]


@pytest.mark.parametrize("pair", STILL, ids=" beside ".join)
def test_rigs_that_share_nothing_are_each_judged_as_alone(pair: tuple[str, str]) -> None:
    a, b = still(shipped(pair[0])), renamed(still(shipped(pair[1])))
    b = replace(b, policy=a.policy)
    (found_a, said_a), (found_b, said_b), (found, said) = judged(a), judged(b), judged(together(a, b))
    assert found == found_a | found_b
    assert differences(said_a, said) == []
    assert differences(said_b, said) == []


@pytest.mark.parametrize("pair", MOVED, ids=" beside ".join)
def test_a_motion_changes_nothing_of_a_rig_that_shares_nothing_with_it(pair: tuple[str, str]) -> None:
    a, b = shipped(pair[0]), renamed(still(shipped(pair[1])))
    b = replace(b, policy=a.policy)
    (found_a, said_a), (found_b, _), (found, said) = judged(a), judged(b), judged(together(a, b))
    assert found == found_a | found_b
    assert differences(said_a, said) == []


@pytest.mark.parametrize("slack", [(0.0, 0.6), (0.3, 0.9)])
@pytest.mark.parametrize("mass", [(80, 110), (60, 60)])
def test_a_catch_loads_the_lane_that_it_is_in(mass: tuple[int, int], slack: tuple[float, float]) -> None:
    a, b = lane(mass[0], slack[0]), renamed(lane(mass[1], slack[1]), 4.0)
    (found_a, said_a), (found_b, said_b), (found, said) = judged(a), judged(b), judged(together(a, b))
    assert found == found_a | found_b
    assert differences(said_a, said) == []
    assert differences(said_b, said) == []


def test_two_loads_on_one_anchor_are_judged_as_one_rig() -> None:
    a, b = lane(80, 0.3), renamed(lane(110, 0.9), 0.5)
    main = b.ropes["main-b"]
    shared = replace(main, run=(replace(main.run[0], target="ring"), *main.run[1:]))
    both = together(a, replace(b, ropes={**b.ropes, "main-b": shared}))
    assert lane_of(both)["clamp"] == lane_of(both)["backup-b"]
    x = examine(both, CATALOGUE, samples=64)
    failure = next(f for f in x.failures if f.component.part == "clamp-b")
    assert failure.catch_on("clamp") == failure.catch_on("backup-b") > 1.0


def test_a_place_that_nothing_uses_is_in_no_lane() -> None:
    rig = shipped("descent-hand-on")
    assert "floor" in rig.points
    assert "floor" not in lane_of(rig)
    assert set(lane_of(rig).values()) == {0}


TWO_HAULS = """
rig: Two hauls
points:
  beam0: {kind: anchor, at: [0, 12], strength: 36 kN}
  beam1: {kind: anchor, at: [2, 12], strength: 36 kN}
loads:
  w0: {kind: object, mass: 80, at: [0, 1]}
  w1: {kind: object, mass: 81, at: [2, 1]}
crews:
  crew0: {at: [1.5, 1], people: 9}
  crew1: {at: [3.5, 1], people: 3}
gear:
  top0: {is: pulley-single, at: beam0}
  top1: {is: pulley-single, at: beam1}
ropes:
  r0: {is: rope-12.5-low-stretch, length: 80, run: [tie w0 with figure-eight-bight, through top0, hand crew0]}
  r1: {is: rope-12.5-low-stretch, length: 80, run: [tie w1 with figure-eight-bight, through top1, hand crew1]}
haul: {load: w0, up: 3}
"""


def test_a_hand_beside_the_haul_keeps_what_it_has_and_is_asked_whether_it_can() -> None:
    found, said = judged(read_rig(TWO_HAULS, CATALOGUE))
    assert said["haul"].get("cannot") is None
    weak = next(text for level, code, text, *_ in found if code == "hands-too-weak" and level == "stop")
    assert "crew1" in weak
    assert "crew0" not in weak


def test_a_load_in_another_hand_on_the_same_anchor_is_to_be_locked_off() -> None:
    shared = TWO_HAULS.replace("{is: pulley-single, at: beam1}", "{is: pulley-single, at: beam0}")
    found, _ = judged(read_rig(shared, CATALOGUE))
    text, repair = next((f[2], f[4]) for f in found if f[1] == "cannot-haul")
    assert "nothing keeps w1 in place" in text
    assert "w1 hangs on r1 in the hand of crew1" in repair
    assert "`state: locked-off`" in repair
