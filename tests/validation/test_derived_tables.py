"""Tables that follow from arithmetic alone: every textbook reeving at six efficiencies, legs and
redirects."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from ropewright.mechanics.model import GRAVITY, System
from tests.mechanics.builders import pulled_from_ground

from .case import Case, check, digits
from .rigs import (
    REEVINGS,
    advantage,
    hung_between,
    resting_pull_on,
    resting_tensions,
    self_haul_five,
    turned,
    two_legs,
)

EFFICIENCIES = (1.0, 0.95, 0.90, 0.80, 0.75, 0.50)

WRAP = 1e-6
"""Share by which an advantage may miss its series: the solver stops at 10⁻¹⁰ of the weight, and the sums of
up to five tensions keep that; 10⁻⁶ leaves room for the stretch that turns strands by a hair."""


def series(count: int) -> Callable[[float], float]:
    return lambda k: sum(k**i for i in range(count))


CLOSED: dict[str, Callable[[float], float]] = {
    "2:1": series(2),
    "3:1": series(3),
    "5:1 simple": series(5),
    "4:1 (2:1 on 2:1)": lambda k: (1 + k) ** 2,
    "6:1 (2:1 on 3:1)": lambda k: (1 + k) * (1 + k + k * k),
    "9:1 (3:1 on 3:1)": lambda k: (1 + k + k * k) ** 2,
    "self-haul, one sheave above": series(3),
    "self-haul, two above and one below": series(5),
}

# The printed tables, to their last digit, in the order of the efficiencies named with each.
TABLE_1 = {
    "3:1": (2.853, 2.710, 2.440, 1.750),
    "5:1 simple": (4.524, 4.095, 3.362, 1.938),
    "4:1 (2:1 on 2:1)": (3.803, 3.610, 3.240, 2.250),
    "6:1 (2:1 on 3:1)": (5.562, 5.149, 4.392, 2.625),
    "9:1 (3:1 on 3:1)": (8.137, 7.344, 5.954, 3.063),
}
TABLE_2 = {
    "3:1": (3.00, 2.85, 2.71, 2.31, 1.75),
    "5:1 simple": (5.00, 4.52, 4.10, 3.05, 1.94),
    "9:1 (3:1 on 3:1)": (9.00, 8.14, 7.34, 5.35, 3.06),
}
ARITHMETIC = "derived by arithmetic"


def row(name: str, efficiencies: tuple[float, ...]) -> Callable[[], list[float]]:
    build: Callable[[float], System] = REEVINGS[name]
    return lambda: [advantage(build(e)) for e in efficiencies]


def leg(degrees: float) -> float:
    return two_legs(math.radians(degrees), 100.0) / (100 * GRAVITY)


def redirect(degrees: float) -> float:
    return resting_pull_on(turned(math.radians(degrees), 100.0), "turn") / (100 * GRAVITY)


def unequal() -> list[float]:
    tensions = resting_tensions(hung_between((-math.radians(20), math.radians(60)), 100.0))
    return [float(t) / (100 * GRAVITY) for t in tensions]


CASES = [
    *(
        Case(
            f"D1.{k + 1}",
            f"{name} at 0.95, 0.90, 0.80 and 0.50: advantage",
            printed,
            "×",
            row(name, (0.95, 0.90, 0.80, 0.50)),
            "right",
            digits(0.001),
            ARITHMETIC,
        )
        for k, (name, printed) in enumerate(TABLE_1.items())
    ),
    *(
        Case(
            f"D2.{k + 1}",
            f"{name} at 1, 0.95, 0.90, 0.75 and 0.50: advantage",
            printed,
            "×",
            row(name, (1.0, 0.95, 0.90, 0.75, 0.50)),
            "right",
            digits(0.01),
            ARITHMETIC,
        )
        for k, (name, printed) in enumerate(TABLE_2.items())
    ),
    Case(
        "D3",
        "self-haul, one sheave above, at 1 and 0.90: pulled by the climber, then from the ground",
        (3.0, 2.71, 2.0, 1.71),
        "×",
        lambda: [
            *row("self-haul, one sheave above", (1.0, 0.9))(),
            *(advantage(pulled_from_ground(e)) for e in (1.0, 0.9)),
        ],
        "right",
        digits(0.01),
        ARITHMETIC,
    ),
    Case(
        "D4",
        "self-haul, two sheaves above and one below, at 1 and 0.90: by the climber, then from the ground",
        (5.0, 4.10, 4.0, 3.10),
        "×",
        lambda: [
            *row("self-haul, two above and one below", (1.0, 0.9))(),
            *(advantage(self_haul_five(e, ground=True)) for e in (1.0, 0.9)),
        ],
        "right",
        digits(0.01),
        ARITHMETIC,
    ),
    Case(
        "D5",
        "two equal legs 30, 60, 90, 120, 150 and 160° apart: each leg",
        (0.52, 0.58, 0.71, 1.00, 1.93, 2.88),
        "× load",
        lambda: [leg(a) for a in (30, 60, 90, 120, 150, 160)],
        "right",
        digits(0.01),
        ARITHMETIC,
    ),
    Case(
        "D6",
        "two legs at 20° and 60° from the vertical",
        (0.88, 0.35),
        "× load",
        unequal,
        "right",
        digits(0.01),
        ARITHMETIC,
    ),
    Case(
        "D7",
        "load on a redirect, strands 0, 30, 60, 90, 120 and 150° apart",
        (2.00, 1.93, 1.73, 1.41, 1.00, 0.52),
        "× tension",
        lambda: [redirect(a) for a in (0, 30, 60, 90, 120, 150)],
        "right",
        digits(0.01),
        ARITHMETIC,
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_derived_tables(case: Case) -> None:
    check(case)


@pytest.mark.parametrize("efficiency", EFFICIENCIES)
@pytest.mark.parametrize("name", REEVINGS)
def test_every_reeving_follows_its_series(name: str, efficiency: float) -> None:
    assert advantage(REEVINGS[name](efficiency)) == pytest.approx(CLOSED[name](efficiency), rel=WRAP)


@pytest.mark.parametrize("efficiency", EFFICIENCIES)
def test_pulled_from_the_ground_a_self_haul_counts_one_less(efficiency: float) -> None:
    k = efficiency
    assert advantage(pulled_from_ground(k)) == pytest.approx(k + k * k, rel=WRAP)
    assert advantage(self_haul_five(k, ground=True)) == pytest.approx(series(5)(k) - 1, rel=WRAP)
