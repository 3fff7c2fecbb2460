"""A worked-out rig, ordered as it is read."""

from __future__ import annotations

from typing import Any

import pytest

from ropewright.web.rigs.reading import failures_of, held_of, margins_of, worst_of
from ropewright.web.rigs.templatetags.rig_words import came_down


def _case(fails: str, factor: float = 5.0, outcome: str = "held") -> dict[str, Any]:
    return {
        "fails": fails,
        "load": "climber",
        "outcome": outcome,
        "drop_m": 0.0 if outcome == "held" else 6.0,
        "swing_m": 0.0,
        "weakest_then": {"part": "clamp", "factor": factor},
    }


def _report(cases: list[dict[str, Any]], caught: float = 0.0, strength: float | None = 4000.0) -> Any:
    catch = {"load_N": caught, "if_fails": "sling"} if caught else None
    parts = [{"part": "clamp", "in_a_catch": catch, "strength_N": strength}]
    return {"holding": {"single_failures": cases}, "parts": parts}


def test_held_in_all_cases_is_good_where_nothing_is_found_of_them() -> None:
    held = held_of(failures_of(_report([_case("rope"), _case("sling")])), [])
    assert (held.mark, held.words, held.cases) == ("ok", "held", "in all 2 cases")


def test_a_catch_that_a_part_does_not_bear_is_no_good_end() -> None:
    after = failures_of(_report([_case("rope"), _case("sling")], caught=4500.0))
    held = held_of(after, [{"level": "stop", "code": "breaks-in-catch"}])
    assert (held.mark, held.cases) == ("stop", "in 1 of 2 cases")
    assert held.words == "held, but a part is loaded over its strength"
    assert [(row["fails"], row["breaks"]) for row in after.rows] == [("sling", "clamp")]


def test_a_part_that_follows_the_one_that_failed_is_counted() -> None:
    after = failures_of(_report([_case("rope", factor=0.8), _case("sling")]))
    assert held_of(after, [{"level": "stop", "code": "fails-in-turn"}]).cases == "in 1 of 2 cases"


def test_a_part_of_unknown_strength_is_not_said_to_break() -> None:
    assert failures_of(_report([_case("sling")], caught=4500.0, strength=None)).breaks == 0


@pytest.mark.parametrize(("level", "code"), [("stop", "drop-too-far"), ("caution", "swings-far")])
def test_the_gravest_finding_of_failures_marks_them(level: str, code: str) -> None:
    found = [{"level": "caution", "code": "swings-far"}, {"level": level, "code": code}]
    held = held_of(failures_of(_report([_case("rope")])), found)
    assert held.mark == level
    assert held.words.startswith("held, but")


def test_what_is_not_worked_out_is_no_drop_and_no_good_end() -> None:
    unknown = {**_case("rope", outcome="not worked out"), "drop_m": None}
    held = held_of(failures_of(_report([unknown, _case("sling")])), [])
    assert (held.mark, held.words, held.cases) == ("stop", "not worked out", "in 1 of 2 cases")
    both = held_of(failures_of(_report([unknown, _case("sling", outcome="falls")])), [])
    assert (both.words, both.cases) == ("drops a load", "in 2 of 2 cases")


def test_a_fall_goes_before_everything() -> None:
    after = failures_of(_report([_case("rope", outcome="falls"), _case("sling")]))
    held = held_of(after, [{"level": "stop", "code": "breaks-in-catch"}])
    assert (held.words, held.cases) == ("drops a load", "in 1 of 2 cases")


def _caught(**more: Any) -> dict[str, Any]:
    slip = [{"part": "grab", "from_N": 2500.0}]
    return {**_case("rope"), "drop_m": 0.54, "lowest_m": 0.85, "may_slip": slip, **more}


@pytest.mark.django_db
def test_a_drop_is_told_with_its_catch_and_with_what_may_slip() -> None:
    assert came_down(_caught()) == (
        "hangs 0.54 m (1.8 ft) lower, down to 0.85 m (2.8 ft) in the catch; "
        "further if grab slips (from 2.50 kN (562 lbf))"
    )
    assert came_down(_caught(lowest_m=None, may_slip=[])) == "hangs 0.54 m (1.8 ft) lower"
    assert came_down(_caught(outcome="falls", drop_m=6.0)) == "6 m (19.7 ft)"
    assert came_down(_caught(drop_m=0.01)) == "none"


def _part(name: str, factor: float, later: float | None = None, caught: float | None = None) -> Any:
    """A part of 1000 N with its factor with nothing failed, ten asked, after a failure and in a catch, one
    asked.
    """
    whole = {"factor": factor, "load_N": 1000.0 / factor, "required": 10, "state": "hauling"}
    after = later and {
        "factor": later,
        "load_N": 1000.0 / later,
        "required": 1,
        "when": "once sling has failed",
    }
    catch = caught and {"factor": caught, "load_N": 1000.0 / caught, "required": 1, "if_fails": "cord"}
    state = "once sling has failed" if later and later < factor else "hauling"
    load = 1000.0 / min(factor, later or factor)
    return {
        "part": name,
        "load_N": load,
        "state": state,
        "nothing_failed": whole,
        "after_a_failure": after,
        "in_a_catch": catch,
    }


def test_each_margin_is_held_against_what_is_asked_then() -> None:
    report = {"parts": [_part("plate", 14.0, 9.0), _part("rope", 30.0, 1.2)]}
    rows = {row["part"]: row["share"] for row in margins_of(report)}
    assert rows == {"plate": 1.4, "rope": 1.2}
    worst = worst_of(report)
    assert worst is not None
    assert [worst[key] for key in ("part", "factor", "required", "state")] == [
        "rope", 1.2, 1, "once sling has failed"
    ]  # fmt: skip


def test_a_margin_is_that_of_the_state_nearest_to_what_is_asked_not_of_the_greatest_load() -> None:
    (row,) = margins_of({"parts": [_part("device", 12.0, 11.1)]})
    assert row["least"] == {
        "load_N": 1000.0 / 12.0, "factor": 12.0, "required": 10, "state": "hauling", "share": 1.2
    }  # fmt: skip
    assert row["also"] == []  # it has after a failure what is asked with nothing failed


def test_a_catch_is_a_state_too_and_what_is_less_than_asked_otherwise_stands_beside() -> None:
    (row,) = margins_of({"parts": [_part("device", 12.0, 9.1, caught=0.9)]})
    assert (row["least"]["state"], row["share"]) == ("in a catch, if cord fails", 0.9)
    assert [(each["state"], each["factor"]) for each in row["also"]] == [
        ("hauling", 12.0), ("once sling has failed", 9.1)
    ]  # fmt: skip
