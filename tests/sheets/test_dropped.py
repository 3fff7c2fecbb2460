"""How far a load comes down is told without a ceiling that the model does not know."""

from __future__ import annotations

import re

import pytest

from ropewright.cli.summary.people import failures
from ropewright.judgement.rules import Context
from ropewright.procedure.exposure import Exposure
from ropewright.quantity import Units, show_force, show_length
from ropewright.sheets.content import card_of
from ropewright.sheets.dropped import became, in_the_catch, lower, movement, slipping
from ropewright.sheets.held import factors
from ropewright.sheets.model import Card

from .cards import NAMES, card, examined


@pytest.mark.parametrize(
    ("metres", "units", "said"),
    [
        (0.00146, "both", "less than 10 mm (0.4 in)"),
        (0.0535, "both", "60 mm (2.4 in)"),
        (-0.05, "metric", "50 mm"),
        (0.0762, "us", "3.2 in"),
        (0.25, "metric", "0.25 m"),
    ],
)
def test_a_small_movement_is_told_up_to_the_next_centimetre(metres: float, units: Units, said: str) -> None:
    assert movement(metres, units) == said


@pytest.mark.parametrize(
    ("drops", "said"),
    [
        ([0.54], "hangs 0.54 m (1.8 ft) lower"),
        ([0.4, 0.54], "hangs 0.4–0.54 m (1.3–1.8 ft) lower"),
        ([0.015, 0.04], "hangs 20 mm (0.8 in) to 40 mm (1.6 in) lower"),
        ([-0.2], "hangs 0.2 m (0.7 ft) higher"),
        ([-0.03, 0.04], "hangs 30 mm (1.2 in) higher to 40 mm (1.6 in) lower"),
    ],
)
def test_where_a_load_hangs_then_is_told_from_the_least_to_the_most(drops: list[float], said: str) -> None:
    assert lower(drops, "both") == said


def test_the_catch_and_what_may_slip_in_it_are_told_behind_the_drop() -> None:
    assert in_the_catch(0.54, 0.85, "both") == ", down to 0.85 m (2.8 ft) in the catch"
    assert in_the_catch(0.02, None, "both") == ""
    said = slipping([("grab", 2600.0), ("grab", 2500.0), ("rack", 6000.0)], "both")
    assert said == "; further if grab slips (from 2.50 kN (562 lbf)) or rack slips (from 6.00 kN (1350 lbf))"
    assert slipping([], "both") == ""


def _words(made: Card) -> str:
    lines = [f"{line.lead} {line.text}" for s in made.sections for line in (*s.lines, *s.after)]
    return " ".join([*lines, *(row.how for s in made.sections for row in s.rows)])


@pytest.mark.parametrize("name", NAMES)
def test_no_drop_is_told_as_a_ceiling(name: str) -> None:
    words = _words(card(name)) + " ".join(failures(Context(examined(name))))
    assert not re.search(r"(drop|down|lower|up)\w* (by )?at most|at most [^;:]*(drop|down|lower)", words)


@pytest.mark.parametrize("units", ["both", "us", "metric", "both-us"])
def test_a_drop_is_told_with_its_catch_and_its_slip_wherever_it_stands(units: Units) -> None:
    x = examined("tower-day-lane")
    ctx = Context(x, units)
    found = [o for f in x.failures for o in f.after.outcomes if o.verdict == "held" and o.lowest is not None]
    lowest = max(o.lowest or 0.0 for o in found)
    assert lowest > max(o.drop or 0.0 for o in found) + 0.1
    down = f"down to {show_length(lowest, units)} in the catch"
    slip = f"; further if backup slips (from {show_force(2500.0, units)})"
    made = card_of(x, None, file="f", time="t", units=units)
    held, check = made.section("held"), made.section("check")
    assert held is not None
    assert check is not None
    for words in (
        " ".join(line.lead for line in held.lines),
        next(row.how for row in check.rows if row.what == "Critical-point test"),
        " ".join(" ".join(failures(ctx)).split()),
    ):
        assert down in words
        assert slip in words


def test_the_worst_at_a_moment_of_a_procedure_is_told_as_far() -> None:
    found = Exposure("student", "chest", "held", 0.43, False, 0.71, (("backup", 2500.0),))
    said = "hangs 0.43 m lower, down to 0.71 m in the catch; further if backup slips (from 2.50 kN)"
    assert became(found, "metric") == said
    assert became(Exposure("student", "chest", "falls", 8.5), "metric") == "FALLS 8.5 m"
    assert became(Exposure("student", "chest", "runs", None), "metric") == "RUNS DOWN"


def test_the_factor_in_the_catch_is_told_first() -> None:
    assert factors(11.3, 5.36) == "2.11 in the catch, 11.3 after it"
    assert factors(11.3, 1.0) == "11.3"
    ctx = Context(examined("tower-day-lane"))
    known = [
        (f.weakest_for("student"), f.catch_on("student"))
        for f in ctx.x.failures
        if f.weakest and f.catch_on("student") > 1.0
    ]
    (part, still), catch = min(((w, c) for w, c in known if w), key=lambda k: k[0][1] / k[1])
    said = f"{part}, {factors(still, catch)}"
    held = card("tower-day-lane").section("held")
    assert held is not None
    assert any(line.then == f"least factor then: {said}" for line in held.lines)
    told = " ".join(" ".join(failures(ctx)).split())
    assert said.replace(", ", ": ", 1) in told
