"""Every example does in the check what its first line says it teaches."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.judgement.examine import examine
from ropewright.judgement.findings import findings
from ropewright.judgement.report import report
from ropewright.judgement.rules import Context
from ropewright.rig import read_rig

FOLDER = Path(__file__).parents[1] / "examples"
NAMES = sorted(path.name.removesuffix(".rig.yaml") for path in FOLDER.glob("*.rig.yaml"))


@dataclass(frozen=True)
class Expected:
    """What a check has to come to: codes found, what the first load does hands off, the count."""

    within: bool
    codes: tuple[str, ...] = ()
    hands_off: str = "held"
    counted: str | None = None
    word: str | None = None


TABLE: dict[str, Expected] = {
    "anchor-three-legs": Expected(False, ("anchor-unrated",)),
    "anchor-two-legs": Expected(True, ("leg-angle",)),
    "descent-bar-rack": Expected(False, ("falls-hands-off", "too-few-hands-off"), "runs", "1:1"),
    "descent-figure-eight": Expected(False, ("falls-hands-off", "anchor-unrated"), "runs", "1:1"),
    "descent-hand-off": Expected(False, ("too-few-chains", "single-failure")),
    "descent-hand-on": Expected(False, ("too-few-chains", "single-failure"), "held", "1:1"),
    "descent-locked-off": Expected(False, ("too-few-chains", "single-failure")),
    "haul-2-1": Expected(True, (), "held", "2:1", "simple"),
    "haul-3-1": Expected(True, (), "held", "3:1", "simple"),
    "haul-5-1": Expected(True, (), "held", "5:1", "simple"),
    "haul-5-1-complex": Expected(True, (), "held", "5:1", "complex"),
    "haul-9-1": Expected(False, ("part-overloaded",), "held", "9:1", "compound"),
    "highline-60-m": Expected(True),
    "litter-and-attendant": Expected(True, (), "held", "1:1"),
    "litter-roller-crew": Expected(False, ("part-overloaded", "too-few-chains"), "held", "3:1", "simple"),
    "lower-main-and-second": Expected(True, (), "held", "1:1"),
    "lower-two-tensioned": Expected(True, (), "held", "2:1"),
    "parapet-bare": Expected(False, ("edge-unprotected",), "held", "3:1", "simple"),
    "parapet-roller": Expected(True, ("edge-protected",), "held", "3:1", "simple"),
    "redirect-60-degrees": Expected(True, ("falls-hands-off",), "runs", "1:1"),
    "self-haul-double-and-single": Expected(True, (), "held", "5:1", "simple"),
    "self-haul-double-and-single-crew": Expected(True, (), "held", "4:1", "simple"),
    "self-haul-one-sheave": Expected(True, (), "held", "3:1", "simple"),
    "self-haul-one-sheave-crew": Expected(True, (), "held", "2:1", "simple"),
    "tower-day-ascent": Expected(True),
    "tower-day-lane": Expected(True, (), "held", "1:1"),
    "wrong-device-reversed": Expected(False, ("loaded-backwards", "nothing-holds"), "runs"),
    "wrong-grab-reversed": Expected(False, ("loaded-backwards", "cannot-haul")),
}


@cache
def checked(name: str) -> dict[str, Any]:
    catalogue = load_catalogue()
    return report(examine(read_rig(FOLDER / f"{name}.rig.yaml", catalogue), catalogue, 200))


def test_every_example_is_expected_to_do_something() -> None:
    assert set(TABLE) == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_an_example_shows_what_it_teaches(name: str) -> None:
    data, expected = checked(name), TABLE[name]
    codes = {f["code"] for f in data["findings"]}
    assert set(expected.codes) <= codes
    assert data["within_policy"] is expected.within, sorted(
        f["text"] for f in data["findings"] if f["level"] == "stop"
    )
    assert data["holding"]["hands_off"][0]["outcome"] == expected.hands_off
    motion = data["haul"] or data["lower"]
    assert (motion and motion["counted"]) == expected.counted
    if expected.word is not None:
        assert motion["class"]["word"] == expected.word


def test_who_pulls_makes_the_difference() -> None:
    one = checked("self-haul-one-sheave")["haul"], checked("self-haul-one-sheave-crew")["haul"]
    both = checked("self-haul-double-and-single")["haul"], checked("self-haul-double-and-single-crew")["haul"]
    for (own, ground), counts in ((one, ("3:1", "2:1")), (both, ("5:1", "4:1"))):
        assert (own["counted"], ground["counted"]) == counts
        assert (
            own["counted_variants"]
            == ground["counted_variants"]
            == {"climber": counts[0], "ground": counts[1]}
        )
        assert own["hand_force_N"]["likely"] < ground["hand_force_N"]["likely"]


def test_a_roller_gives_the_parapet_haul_its_advantage_back() -> None:
    bare, roller = checked("parapet-bare")["haul"], checked("parapet-roller")["haul"]
    assert bare["actual"]["likely"] < 1.5 < 1.8 < roller["actual"]["likely"]


def test_the_redirect_and_the_legs_carry_what_the_tables_say() -> None:
    redirect = checked("redirect-60-degrees")["haul"]
    pulls = [t["N"]["likely"] for t in redirect["tensions"]]
    beam = redirect["points"]["beam"]["N"]["likely"]
    assert min(pulls) * 1.73 < beam < max(pulls) * 1.74 + 5
    (legs,) = [f["text"] for f in checked("anchor-two-legs")["findings"] if f["code"] == "leg-angle"]
    assert "left-leg 0.70" in legs or "left-leg 0.71" in legs


def test_a_hand_that_lets_go_of_a_rack_is_the_difference() -> None:
    def lets_go(name: str) -> str:
        rows = checked(name)["holding"]["single_failures"]
        return str(next(row["outcome"] for row in rows if row["kind"] == "hand"))

    assert lets_go("descent-bar-rack") == "runs"
    assert lets_go("descent-hand-on") == "held"


def test_a_slack_second_line_drops_further_than_a_tensioned_one() -> None:
    def drop(name: str, fails: str) -> float:
        rows = checked(name)["holding"]["single_failures"]
        return float(next(row["drop_m"] for row in rows if row["fails"] == fails))

    slack, tensioned = drop("lower-main-and-second", "rope main"), drop("lower-two-tensioned", "rope left")
    assert slack > 0.4
    assert 0 <= tensioned < 0.2


def test_the_tower_lanes_leave_the_spare_that_lowers_a_stuck_student() -> None:
    catalogue = load_catalogue()
    for name in ("tower-day-lane", "tower-day-ascent"):
        x = examine(read_rig(FOLDER / f"{name}.rig.yaml", catalogue), catalogue, 50)
        spare = Context(x).spares
        assert [s.device for s in spare] == ["left-release", "right-release"]
        assert all(s.enough and s.needed == pytest.approx(30 * 0.3048) for s in spare)


def test_the_short_rope_is_refused_on_the_tower() -> None:
    catalogue = load_catalogue()
    text = (FOLDER / "tower-day-lane.rig.yaml").read_text("utf-8").replace("100 ft", "75 ft")
    found = findings(examine(read_rig(text, catalogue), catalogue, 50))
    stops = {f.part: f.text for f in found if f.code == "rope-too-short"}
    assert set(stops) == {"working", "second"}
    assert "is 22.9 m (75 ft) long and needs 27.4 m (90 ft)" in stops["working"]


def test_the_track_line_hangs_as_it_is_drawn_and_carries_what_its_text_says() -> None:
    found = checked("highline-60-m")
    assert "an eighth of the span each half carries twice the weight" in found["about"]
    weight = 60 * 9.81
    halves = [row["N"] for row in found["rest"]["tensions"] if row["rope"] == "track"]
    assert len(halves) == 2
    for half in halves:
        assert half["high"] / weight == pytest.approx(2, rel=0.06)
    assert "hangs-elsewhere" not in [f["code"] for f in found["findings"]]
