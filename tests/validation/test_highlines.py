"""Published loads on ropes across a span, against a rig brought to rest, and the heavy rope between them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ropewright.mechanics.catenary import hang
from ropewright.mechanics.model import GRAVITY, chord
from ropewright.mechanics.settle import settle

from .case import EXACT, Case, band, check, digits
from .rigs import FOOT, POUND, UNYIELDING, as_drawn, highline, tuned

MOUNTAIN = "a mountain unit's sheet on highlines"
GIANCOLI = "Giancoli, Physics, 7th edition, problem 9-79"
BOOK_G = 9.80
"""The acceleration of free fall [m/s²] that the textbook takes."""

TABLE = "exact: T = W·√((S/2)² + D²)/(2·D)"


def sheet() -> tuple[float, float, float]:
    """Tension [lbf], rope length [ft] and angle [°] of 450 lb amid 100 ft with 15 ft of sag."""
    system = highline(100 * FOOT, 15 * FOOT, 450 * POUND)
    rest = as_drawn(system)
    unit, length = chord(rest.position, system.strands)
    tension = float(rest.tension[0]) / (POUND * GRAVITY)
    return tension, float(length.sum()) / FOOT, math.degrees(math.asin(abs(float(unit[0, 2]))))


def sag_at(newtons: float) -> float:
    """Sag [m] of 75 kg amid 25 m when its rope has been drawn up to this tension."""
    rest = tuned(highline(25.0, 2.5, 75.0 * BOOK_G / GRAVITY), lambda rest: float(rest.tension[0]) < newtons)
    return -float(rest.position[2, 2])


def tension_amid(span: float, sag: float) -> float:
    """Tension over the load amid a span with this sag [m]."""
    return float(as_drawn(highline(span, sag, 100.0)).tension[0]) / (100 * GRAVITY)


CASES = [
    Case(
        "W56",
        "450 lb amid 100 ft with 15 ft of sag: tension",
        (783.0,),
        "lbf",
        lambda: sheet()[:1],
        "right",
        digits(1.0),
        MOUNTAIN,
    ),
    Case(
        "W56b",
        "the same: rope between the anchors",
        (104.0,),
        "ft",
        lambda: sheet()[1:2],
        "right",
        digits(1.0),
        MOUNTAIN,
    ),
    Case(
        "W56c",
        "the same: angle, printed 16.5 to 16.7",
        (16.6,),
        "°",
        lambda: sheet()[2:],
        "right",
        digits(0.2, "printed as a span of 0.2°"),
        MOUNTAIN,
    ),
    Case(
        "W59",
        "75 kg amid 25 m at 2.9 kN: sag",
        (1.58,),
        "m",
        lambda: [sag_at(2900.0)],
        "rounded",
        band(0.011, "the angle on the way is rounded to 0.1°, which alone moves the sag by 1.4 %"),
        GIANCOLI,
    ),
    Case(
        "W59b",
        "the same at a quarter of that sag: tension",
        (11898.0,),
        "N",
        lambda: [75 * BOOK_G * tension_amid(25.0, sag_at(2900.0) / 4)],
        "rounded",
        band(0.034, "goes on from the rounded angle"),
        GIANCOLI,
    ),
    Case(
        "D8",
        "a load amid a span with sag of 3, 5, 8, 10 and 15 %: tension",
        (8.35, 5.02, 3.16, 2.55, 1.74),
        "× load",
        lambda: [tension_amid(30.0, 0.3 * p) for p in (3, 5, 8, 10, 15)],
        "right",
        digits(0.01),
        TABLE,
    ),
    Case(
        "H1",
        "a load on two strands at 15° below the level: tension",
        (1.93,),
        "× load",
        lambda: [tension_amid(20.0, 10.0 * math.tan(math.radians(15)))],
        "right",
        digits(0.01),
        "a teaching page on rope angles",
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_published_highlines(case: Case) -> None:
    check(case)


@pytest.mark.parametrize("at", [0.1, 0.3, 0.5])
def test_a_load_anywhere_on_the_span_is_in_equilibrium(at: float) -> None:
    system = highline(40.0, 3.0, 120.0, at)
    rest = settle(system)
    unit, _ = chord(rest.position, system.strands)
    pull = rest.tension[1] * unit[1] - rest.tension[0] * unit[0]
    assert pull == pytest.approx([0, 0, 120 * GRAVITY], abs=1e-5 * 120 * GRAVITY)


def test_two_catenaries_without_weight_carry_a_load_as_two_strands_do() -> None:
    """A rope drawn 5 % longer than its 30 m of span, the load amid it, through both models."""
    half, sag = 15.0, 15.0 * math.sqrt(1.05**2 - 1.0)
    strand = hang(np.array([half, 0.0, -sag]), half * 1.05 * (1 - 1e-6), UNYIELDING, 0.0)
    tension = UNYIELDING * 1e-6 / (1 - 1e-6)
    assert strand.tension_end == pytest.approx(tension, rel=EXACT)
    load = -2 * strand.force_on_end[2]
    assert load == pytest.approx(-2 * tension * sag / (half * 1.05), rel=EXACT)
