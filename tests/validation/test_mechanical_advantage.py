"""Published mechanical advantages of hauls, and the loads on their anchors, against the moving engine."""

from __future__ import annotations

import pytest

from ropewright.mechanics.model import GRAVITY
from tests.mechanics.builders import three_to_one

from .case import Case, band, check, digits
from .rigs import (
    POUND,
    advantage,
    five_to_one,
    four_to_one,
    hand_pull,
    moving_pull_on,
    over_pulley,
    redirected,
    resting_pull_on,
    rope_pulled,
    two_to_one,
)

EXAMPLE = "a published worked example"
SETNICKA = "Setnicka, as quoted in a published worked example"
MANUAL = "a rope-access manual, chapter on pulley systems"
CLIMBING = "a climbing teaching page on hauling"
ANCHORS = "Anchor Loading: Mechanical Advantage and Friction, 2024"
PIATT = "Piatt, How to Calculate Mechanical Advantage"
PRATTLEY = "Prattley, 2016"

POUND_FORCE = POUND * GRAVITY


def pull_in_pounds(e: float, pounds: float) -> tuple[float]:
    return (hand_pull(three_to_one(e, pounds * POUND), +1) / POUND_FORCE,)


def carabiner_range(build: object) -> tuple[float, float]:
    """Advantage at the two ends of what carabiners keep at 180°: 0.50 to 0.66."""
    assert callable(build)
    return advantage(build(0.50)), advantage(build(0.66))


def anchor_shares() -> tuple[float, float, float]:
    """Load on the anchor as a share of the load: raised from above, at rest on the device, and pulled from
    below."""
    weight = 100.0 * GRAVITY
    up = moving_pull_on(three_to_one(), "anchor", +1)
    rest = resting_pull_on(three_to_one(), "anchor", hands=False)
    down = moving_pull_on(redirected(three_to_one, 100.0), "anchor", +1)
    return up / weight, rest / weight, down / weight


def changes_of_direction() -> tuple[float, float, float]:
    """Anchor of a 2:1 as a share of the load, with its rope turned down, and what turning adds to a 3:1 in
    pulls T."""
    weight = 100.0 * GRAVITY
    plain = moving_pull_on(two_to_one(), "anchor", +1)
    turned = moving_pull_on(redirected(two_to_one, 100.0), "anchor", +1)
    pull = hand_pull(three_to_one(), +1)
    added = moving_pull_on(redirected(three_to_one, 100.0), "anchor", +1) - moving_pull_on(
        three_to_one(), "anchor", +1
    )
    return plain / weight, turned / weight, added / pull


def pulley_anchor(e_up: float, e_down: float, pounds: float) -> tuple[float, float]:
    """Anchor load [lb] of one pulley above while the load rises and while it sinks."""
    system = over_pulley(e_up, e_down, pounds * POUND)
    return moving_pull_on(system, "anchor", +1) / POUND_FORCE, moving_pull_on(
        system, "anchor", -1
    ) / POUND_FORCE


def kilonewtons_over(e: float) -> tuple[float]:
    """Pull [kN] that raises 0.10 kN over one pulley above."""
    return (hand_pull(over_pulley(e, e, 100.0 / GRAVITY), +1) / 1000,)


def lift_and_tails(lift: float) -> tuple[float, float]:
    pulled = rope_pulled(three_to_one(), lift)
    return pulled, 1.1 * pulled


CASES = [
    Case(
        "W01",
        "3:1, each pulley keeps 0.93: advantage",
        (2.79,),
        "×",
        lambda: (advantage(three_to_one(0.93)),),
        "right",
        digits(0.01),
        SETNICKA,
    ),
    Case(
        "W02",
        "3:1, each pulley keeps 0.66: printed as 3 × 0.66",
        (1.98,),
        "×",
        lambda: (advantage(three_to_one(0.66)),),
        "wrong",
        digits(0.01),
        SETNICKA,
    ),
    Case(
        "W03",
        "3:1, each pulley keeps 0.75: advantage",
        (2.42,),
        "×",
        lambda: (advantage(three_to_one(0.75)),),
        "wrong",
        digits(0.01),
        SETNICKA,
    ),
    Case(
        "W04",
        "3:1 raising 300 lb, each pulley loses 10 %: pull",
        (111.0,),
        "lbf",
        lambda: pull_in_pounds(0.90, 300.0),
        "right",
        digits(1.0),
        EXAMPLE,
    ),
    Case(
        "W05",
        "3:1, each pulley loses 8 %: advantage",
        (2.77,),
        "×",
        lambda: (advantage(three_to_one(0.92)),),
        "right",
        digits(0.01),
        MANUAL,
    ),
    Case(
        "W05b",
        "3:1, each pulley loses 8 %: pull for each kN raised",
        (0.36,),
        "kN",
        lambda: (1.0 / advantage(three_to_one(0.92)),),
        "right",
        digits(0.01),
        MANUAL,
    ),
    Case(
        "W06",
        "3:1 raising 10 m: rope pulled, and with 10 % for tails",
        (30.0, 33.0),
        "m",
        lambda: lift_and_tails(10.0),
        "right",
        digits(0.1),
        MANUAL,
    ),
    Case(
        "W07",
        "3:1, each pulley keeps 0.50: printed as 3 × 0.50",
        (1.5,),
        "×",
        lambda: (advantage(three_to_one(0.50)),),
        "wrong",
        digits(0.1),
        CLIMBING,
    ),
    Case(
        "W08",
        "3:1, each pulley keeps 0.95: printed 2.7 to 2.8, taken at its middle",
        (2.75,),
        "×",
        lambda: (advantage(three_to_one(0.95)),),
        "rounded",
        band(0.05, "printed as a span of 4 % and called approximate"),
        CLIMBING,
    ),
    Case(
        "W09",
        "180 lb on an ideal 3:1: pull",
        (60.0,),
        "lbf",
        lambda: pull_in_pounds(1.0, 180.0),
        "right",
        digits(1.0),
        "University of Oregon, a physics course page",
    ),
    Case(
        "W10",
        "3:1 on carabiners, which keep 0.50 to 0.66: about 2",
        (2.0,),
        "×",
        lambda: carabiner_range(three_to_one),
        "rounded",
        digits(0.0, "must lie in the computed range"),
        "University of Oregon, a physics course page",
        between=True,
    ),
    Case(
        "W11",
        "100 kg on an ideal 5:1: pull",
        (20.0,),
        "kgf",
        lambda: (hand_pull(five_to_one(), +1) / GRAVITY,),
        "right",
        digits(1.0),
        EXAMPLE,
    ),
    Case(
        "W12",
        "5:1 on carabiners, which keep 0.50 to 0.66: printed as about 3.5",
        (3.5,),
        "×",
        lambda: carabiner_range(five_to_one),
        "wrong",
        digits(0.1),
        EXAMPLE,
        between=True,
    ),
    Case(
        "W13",
        "100 lb on an ideal 3:1: pull",
        (33.0,),
        "lbf",
        lambda: pull_in_pounds(1.0, 100.0),
        "right",
        digits(1.0),
        "a training page on hauling",
    ),
    Case(
        "W13b",
        "4:1 raising 25 ft: rope pulled",
        (100.0,),
        "ft",
        lambda: (rope_pulled(four_to_one(), 25.0),),
        "right",
        digits(1.0),
        "a training page on hauling",
    ),
    Case(
        "W15",
        "a pull of 20 kg on an ideal 3:1: what it raises",
        (60.0,),
        "kg",
        lambda: (20.0 * advantage(three_to_one()),),
        "right",
        digits(1.0),
        PIATT,
    ),
    Case(
        "W16",
        "100 kg over one ideal pulley above: load on the pulley",
        (200.0,),
        "kgf",
        lambda: (moving_pull_on(over_pulley(1.0, 1.0, 100.0), "anchor", +1) / GRAVITY,),
        "right",
        digits(1.0),
        PIATT,
    ),
    Case(
        "W17",
        "ideal 3:1, anchor over load: pulled upwards (MA − 1)/MA, resting, pulled down (MA + 1)/MA",
        (2 / 3, 1.0, 4 / 3),
        "×",
        anchor_shares,
        "right",
        digits(0.0, "printed as formulas, so to the engine's own exactness"),
        ANCHORS,
    ),
    Case(
        "W20",
        "10 lb over a pulley sold as keeping 92 %: anchor raising, lowering",
        (24.0, 19.0),
        "lbf",
        lambda: pulley_anchor(0.92, 0.92, 10.0),
        "measured",
        band(0.15, "the label's figure is not what the test found: 15 % low when raising"),
        ANCHORS,
    ),
    Case(
        "W20b",
        "the same with the losses measured each way, 0.71 raising and 0.90 lowering",
        (24.0, 19.0),
        "lbf",
        lambda: pulley_anchor(0.71, 0.90, 10.0),
        "right",
        digits(1.0),
        ANCHORS,
    ),
    Case(
        "W21",
        "10 lb over a carabiner, 0.42 raising and 0.60 lowering: anchor",
        (34.0, 16.0),
        "lbf",
        lambda: pulley_anchor(0.42, 0.60, 10.0),
        "right",
        digits(1.0),
        ANCHORS,
    ),
    Case(
        "W23",
        "0.10 kN over a carabiner that keeps 0.53: pull",
        (0.188,),
        "kN",
        lambda: kilonewtons_over(0.53),
        "measured",
        band(0.01, "0.53 itself is rounded to 1 %"),
        PRATTLEY,
    ),
    Case(
        "W23b",
        "0.10 kN over a bearing pulley that keeps 0.83: pull",
        (0.12,),
        "kN",
        lambda: kilonewtons_over(0.83),
        "measured",
        digits(0.01),
        PRATTLEY,
    ),
    Case(
        "W40",
        "ideal 2:1, anchor over load: pulled upwards, turned down; what turning adds to a 3:1, in pulls",
        (0.5, 1.5, 2.0),
        "×",
        changes_of_direction,
        "right",
        digits(0.0, "printed as exact shares"),
        EXAMPLE,
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_published_advantages(case: Case) -> None:
    check(case)
