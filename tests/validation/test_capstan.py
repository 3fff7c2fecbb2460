"""Published friction of ropes round bars and edges, against a load raised and lowered over real bends."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import pytest

from ropewright.mechanics.model import GRAVITY

from .case import Case, check, digits
from .rigs import POUND, hand_pull, round_bar

DELANEY = "Delaney, Physics for Roping Technicians, 2022, p. 88"
EDGES = "Anchor Loading: Mechanical Advantage and Friction, 2024, page on edges"

READINGS: tuple[tuple[str, float, float, float, float], ...] = (
    ("alloy tube 50 mm, first rope", 90, 98, 50, 0.21),
    ("alloy tube 50 mm", 180, 88, 35, 0.15),
    ("alloy tube 50 mm, second rope", 90, 89, 49, 0.19),
    ("anodised alloy tube 60 mm, first rope", 90, 92, 53, 0.18),
    ("anodised alloy tube 60 mm", 180, 87, 36, 0.14),
    ("anodised alloy tube 60 mm, second rope", 90, 92, 52, 0.18),
    ("galvanised tube 43 mm, first rope", 90, 103, 47, 0.25),
    ("galvanised tube 43 mm", 180, 125, 37, 0.19),
    ("galvanised tube 43 mm, second rope", 90, 92, 47, 0.21),
    ("steel bar 10 mm", 180, 127, 29, 0.24),
    ("steel bar 12 mm", 180, 140, 31, 0.24),
    ("timber, flat", 180, 179, 17, 0.37),
    ("timber, on edge", 180, 140, 15, 0.36),
    ("concrete edge", 90, 135, 34, 0.44),
)
"""Surface, wrap [°], scale raising and lowering [kg], and the μ printed for them."""


def ratio_over(mu: float, wrap: float) -> float:
    """Tension raising over tension lowering, from the engine."""
    return hand_pull(round_bar(mu, wrap, 75.0), +1) / hand_pull(round_bar(mu, wrap, 75.0), -1)


def mu_from_scale(wrap: float, ratio: float) -> float:
    """The μ at which raising takes ``ratio`` times what lowering does, by halving on the engine's own
    answer."""
    low, high = 0.0, 1.0
    for _ in range(20):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if ratio_over(mid, wrap) < ratio else (low, mid)
    return 0.5 * (low + high)


def found(degrees: float, raising: float, lowering: float) -> Callable[[], Sequence[float]]:
    return lambda: (mu_from_scale(math.radians(degrees), raising / lowering),)


def mu_of_hold(wrap: float, ratio: float) -> float:
    """The μ at which a load weighs ``ratio`` times the pull that holds it while it sinks."""
    low, high = 0.0, 1.0
    for _ in range(20):
        mid = 0.5 * (low + high)
        loose = 75.0 * GRAVITY / hand_pull(round_bar(mid, wrap, 75.0), -1) < ratio
        low, high = (mid, high) if loose else (low, mid)
    return 0.5 * (low + high)


def held_by_edge(scale: float) -> float:
    """Share of 53 lb [%] that an edge takes when a scale reads so many pounds, the edge as a bend of 90°."""
    wrap = 0.5 * math.pi
    mu = math.log(53.0 / scale) / wrap
    weight = 53.0 * POUND * GRAVITY
    return 100.0 * (1.0 - hand_pull(round_bar(mu, wrap, 53.0 * POUND), -1) / weight)


CASES = [
    Case(
        "W24",
        "100 kg held over 270° at μ 0.2 (with g = 9.81)",
        (382.26,),
        "N",
        lambda: (hand_pull(round_bar(0.2, 1.5 * math.pi, 100.0 * 9.81 / GRAVITY), -1),),
        "right",
        digits(0.01),
        "a published worked example on belt friction",
    ),
    Case(
        "W25",
        "2,000 N held by 2½ turns at μ 0.25: about 39 to 40",
        (39.5,),
        "N",
        lambda: (hand_pull(round_bar(0.25, 5 * math.pi, 2000.0 / GRAVITY), -1),),
        "right",
        digits(1.0, "printed as a span of 1 N"),
        "a published worked example",
    ),
    *(
        Case(
            f"W28.{k + 1}",
            f"{surface}, {degrees:.0f}°, scale {raising:.0f} raising and {lowering:.0f} kg lowering: μ",
            (mu,),
            "",
            found(degrees, raising, lowering),
            "right",
            digits(0.02, "one in its last digit: the scale readings are themselves rounded to 2 %"),
            DELANEY,
        )
        for k, (surface, degrees, raising, lowering, mu) in enumerate(READINGS)
    ),
    Case(
        "W29",
        "cord on a pine roller, 3π of wrap, 14 and 19 times the pull: μ",
        (0.280, 0.312),
        "",
        lambda: (mu_of_hold(3 * math.pi, 14.0), mu_of_hold(3 * math.pi, 19.0)),
        "right",
        digits(0.001),
        "a thread of a knot-tyers' guild forum, 2021",
    ),
    Case(
        "W30",
        "53 lb over three rock edges, scale 21, 18.5 and 16 lb: share taken by the edge",
        (60.0, 64.0, 70.0),
        "%",
        lambda: (held_by_edge(21.0), held_by_edge(18.5), held_by_edge(16.0)),
        "right",
        digits(2.5, "one point and a little: 65.1 is printed as 64"),
        EDGES,
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_published_friction(case: Case) -> None:
    check(case)


@pytest.mark.parametrize("bends", [5, 9, 23])
def test_the_number_of_bends_drawn_for_a_wrap_does_not_matter(bends: int) -> None:
    wrap, mu = 1.5 * math.pi, 0.2
    assert hand_pull(round_bar(mu, wrap, 100.0, bends), -1) == pytest.approx(
        hand_pull(round_bar(mu, wrap, 100.0), -1), rel=1e-6
    )
