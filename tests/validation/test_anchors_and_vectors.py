"""Published leg loads, redirect loads and hung loads, against rigs brought to rest."""

from __future__ import annotations

import math

import pytest

from ropewright.mechanics.model import GRAVITY

from .case import Case, band, check, digits
from .rigs import (
    POUND,
    hung_between,
    moving_pull_on,
    over_pulley,
    resting_pull_on,
    resting_tensions,
    turned,
    two_legs,
)

EXAMPLE = "a published worked example"
POUND_FORCE = POUND * GRAVITY


def leg_share(degrees: float) -> float:
    """Force in one of two equal legs as a share of the load, ``degrees`` apart."""
    return two_legs(math.radians(degrees), 100.0) / (100.0 * GRAVITY)


def redirect_share(degrees: float) -> float:
    """Load on a point that turns a rope, in tensions, the strands ``degrees`` apart."""
    return resting_pull_on(turned(math.radians(degrees), 100.0), "turn") / (100.0 * GRAVITY)


def side_in_pounds(degrees: float, pounds: float) -> float:
    """Force [lbf] in each of two ropes at ``degrees`` from the vertical."""
    return two_legs(2 * math.radians(degrees), pounds * POUND) / POUND_FORCE


def turned_back() -> tuple[float, float]:
    """Load [lbf] on a pulley that turns 600 lb back on itself, and 15 times that."""
    load = moving_pull_on(over_pulley(1.0, 1.0, 600.0 * POUND), "anchor", +1) / POUND_FORCE
    return load, 15.0 * load


def factors() -> tuple[float, float, float]:
    """Strength over load: 30 kN on 2 kN, 9,000 lbf on 600 lb, and a factor of 10 after a fivefold catch."""
    two = float(resting_tensions(hung_between((0.0,), 2000.0 / GRAVITY))[0])
    pounds = float(resting_tensions(hung_between((0.0,), 600.0 * POUND))[0]) / POUND_FORCE
    ten = float(resting_tensions(hung_between((0.0,), 2000.0 / GRAVITY))[0])
    return 30e3 / two, 9000.0 / pounds, 10.0 * two / (5.0 * ten)


NPS = "NPS Technical Rescue Handbook, p. 123"
GUIDES = "a guide association's teaching sheet"

CASES = [
    Case(
        "W31",
        "two equal legs 0, 90, 120 and 170° apart: each leg",
        (0.5, 0.7, 1.0, 5.7),
        "× load",
        lambda: [leg_share(a) for a in (0, 90, 120, 170)],
        "right",
        digits(0.1),
        NPS,
    ),
    Case(
        "W31b",
        "two equal legs 179° apart: each leg",
        (57.2,),
        "× load",
        lambda: [leg_share(179)],
        "right",
        digits(0.2, "printed 57.2 for 57.296: cut off, not rounded"),
        NPS,
    ),
    Case(
        "W32",
        "two equal legs 20, 40, 120 and 160° apart: each leg",
        (50.0, 54.0, 100.0, 290.0),
        "% of load",
        lambda: [100 * leg_share(a) for a in (20, 40, 120, 160)],
        "rounded",
        band(0.02, "a teaching table in whole, mostly even, numbers"),
        GUIDES,
    ),
    Case(
        "W32b",
        "two equal legs 80° apart: each leg",
        (70.0,),
        "% of load",
        lambda: [100 * leg_share(80)],
        "wrong",
        band(0.02, "the same table's band"),
        GUIDES,
    ),
    Case(
        "W34",
        "load on a redirect, strands 0, 30, 45, 60, 90 and 120° apart",
        (2.0, 1.93, 1.85, 1.73, 1.41, 1.0),
        "× tension",
        lambda: [redirect_share(a) for a in (0, 30, 45, 60, 90, 120)],
        "right",
        digits(0.01),
        "Tree Rescue Manual, Arboriculture Australia, 2022, p. 118",
    ),
    Case(
        "W36",
        "100 lb on two legs 90° apart: each leg",
        (70.0,),
        "lbf",
        lambda: [side_in_pounds(45, 100)],
        "rounded",
        digits(2.0, "70.7 is printed as 70: cut to whole pounds"),
        EXAMPLE,
    ),
    Case(
        "W39",
        "200 lb in a hammock hung at 45°: each side",
        (141.4,),
        "lbf",
        lambda: [side_in_pounds(45, 200)],
        "right",
        digits(0.1),
        EXAMPLE,
    ),
    Case(
        "W41",
        "600 lb turned back through 180°: pulley, and 15 times that",
        (1200.0, 18000.0),
        "lbf",
        turned_back,
        "right",
        digits(1.0),
        EXAMPLE,
    ),
    Case(
        "W42",
        "30 kN rope on 2 kN; 9,000 lbf rope on 600 lb; a factor of 10 against a fivefold catch",
        (15.0, 15.0, 2.0),
        "× load",
        factors,
        "right",
        digits(1.0),
        "regional mountain-unit and fire study sheets",
    ),
    Case(
        "W43",
        "3,000 kg vehicle on wet grass, μ 0.35: drags at about",
        (10.0,),
        "kN",
        lambda: [0.35 * 3000.0 * GRAVITY / 1000],
        "right",
        digits(1.0),
        "Tree Rescue Manual, Arboriculture Australia, 2022, p. 214",
        through="closed form",
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_published_vectors(case: Case) -> None:
    check(case)
