"""Published gin poles, against the statics of legs that meet at a head."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ropewright.mechanics.frames import gin_pole, guy_tension

from .case import Case, check, digits

DELANEY = "Delaney, Physics for Roping Technicians, 2022, p. 109"
TOWERS = "a mailing list on antenna towers, July 2002"


def hauled_at_the_foot() -> float:
    """Compression [lbf] of an upright pole with 100 lb on a rope over its head that is pulled straight at
    its foot."""
    load, pull = np.array([0.0, 0.0, -100.0]), np.array([0.0, 0.0, -100.0])
    return gin_pole(
        np.zeros(3), np.array([0.0, 0.0, 6.0]), np.array([[4.0, 0.0, 0.0]]), load + pull
    ).compression


def equal_angles(degrees: float) -> float:
    """Guy tension over the resultant when both stand at the same angle to the pole."""
    a = math.radians(degrees)
    head = np.array([0.0, 0.0, 6.0])
    guy = np.array([[-6.0 * math.tan(a), 0.0, 0.0]])
    return float(gin_pole(np.zeros(3), head, guy, np.array([math.sin(a), 0.0, -math.cos(a)])).guys[0])


CASES = [
    Case(
        "W62",
        "upright gin pole, 100 lb over its head, the rope pulled at its foot, no loss: compression",
        (200.0,),
        "lbf",
        lambda: [hauled_at_the_foot()],
        "right",
        digits(1.0),
        TOWERS,
        through="closed form",
    ),
    Case(
        "W62c",
        "gin pole, resultant and guy at one angle to it, 15, 30 and 40°: guy over resultant",
        (1.0, 1.0, 1.0),
        "×",
        lambda: [equal_angles(a) for a in (15, 30, 40)],
        "right",
        digits(0.0, "exact by statics"),
        DELANEY,
        through="closed form",
    ),
    Case(
        "W61",
        "1,000 lbf of side pull, guy at 45° and 70° to the ground: tension",
        (1414.0, 2924.0),
        "lbf",
        lambda: [guy_tension(1000.0, math.radians(a)) for a in (45, 70)],
        "right",
        digits(1.0),
        "a published worked example",
        through="closed form",
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_published_poles(case: Case) -> None:
    check(case)
