"""Published catches of falls, against the closed forms of the undamped linear rope."""

from __future__ import annotations

import math

import pytest

from ropewright.mechanics.catch import peak_force, redirect_force, slip_travel, stiffness_from_peak
from ropewright.mechanics.model import GRAVITY

from .case import Case, band, check, digits

EXAMPLE = "a published worked example"
FOOTE: tuple[tuple[float, float, float], ...] = (
    (1, 8, 488),
    (1, 4, 651),
    (2, 8, 651),
    (2, 4, 884),
    (2, 2, 1214),
    (2, 1, 1682),
    (2, 0.5, 2344),
)
"""Fall factor, stretch under 80 kg [%], peak [kgf]."""


def stretched(factor: float, percent: float) -> float:
    """Peak [kgf] of 80 kg on a rope that stretches by so many percent under it."""
    return float(peak_force(80.0, 80.0 / (percent / 100.0), factor))


def over_carabiner(slack: float, stiffness: float) -> float:
    """Load [lbf] on the top carabiner, the far side at 0.6 of the near one; 200 lb, 30 ft of rope,
    pounds-force."""
    return redirect_force(float(peak_force(200.0, stiffness, slack / 30.0)), 0.6)


def stiffness_kn(mass: float, peak_kn: float, factor: float) -> float:
    """Stiffness [kN] that a measured peak stands for."""
    return float(stiffness_from_peak(mass * GRAVITY, 1000 * peak_kn, factor)) / 1000


def carabiner_tension(anchor_kn: float) -> float:
    """Rope tension [kN] under an anchor that sees 1.7 of it."""
    return anchor_kn / 1.7


def belay_test(stiffness_kn_: float) -> float:
    """Peak [kN] of 200 kg falling 1 m on 3 m of rope that nothing lets slip."""
    return float(peak_force(200 * GRAVITY, 1000 * stiffness_kn_, 1 / 3)) / 1000


MOYER = "Moyer, Tusting and Harmston, Comparative Testing of High Strength Cord, 2000"
DYNAMIC_SPAN = "range found for dynamic climbing ropes under fast loading"

CASES = [
    *(
        Case(
            f"W44.{k + 1}",
            f"80 kg, factor {factor:g}, a rope that stretches {percent:g} % under 80 kg: peak",
            (peak,),
            "kgf",
            lambda factor=factor, percent=percent: (stretched(factor, percent),),  # type: ignore[misc]
            "right",
            digits(1.0),
            EXAMPLE,
            through="closed form",
        )
        for k, (factor, percent, peak) in enumerate(FOOTE)
    ),
    Case(
        "W46",
        "180 lb let go on a rope just tight: peak",
        (360.0,),
        "lbf",
        lambda: (float(peak_force(180.0, 18000.0, 0.0)),),
        "right",
        digits(1.0),
        EXAMPLE,
        through="closed form",
    ),
    Case(
        "W47",
        "200 lb let go on 30 ft of static rope just tight, 1 to 0.6 over the top carabiner: anchor about",
        (660.0,),
        "lbf",
        lambda: (over_carabiner(0.0, 18000.0),),
        "rounded",
        band(0.031, "printed as about; 640 for 660 is 3 %"),
        EXAMPLE,
        through="closed form",
    ),
    Case(
        "W48",
        "the same with 1.5 ft of slack, static (18,000 lbf) and dynamic rope (6,000 lbf): anchor about",
        (1500.0, 1000.0),
        "lbf",
        lambda: (over_carabiner(1.5, 18000.0), over_carabiner(1.5, 6000.0)),
        "rounded",
        band(0.12, "printed as about, from stiffnesses of 4,000 to 8,000 and 16,000 to 20,000 lbf"),
        EXAMPLE,
        through="closed form",
    ),
    Case(
        "W50",
        "200 lb shock, printed 200·(1 + √(1 + 442.5)): peak",
        (4411.88,),
        "lbf",
        lambda: (float(peak_force(200.0, 442.5 * 100.0, 1.0)),),
        "right",
        digits(0.02, "one in its last digit: 4,411.886 is printed cut off"),
        EXAMPLE,
        through="closed form",
    ),
    Case(
        "W51",
        "100 kg, 2 m, factor 1 on semi-static rope, old and new: peak, at stiffnesses of 40 to 62 kN",
        (10.0, 12.0),
        "kN",
        lambda: [float(peak_force(100 * GRAVITY, ea, 1.0)) / 1000 for ea in (40e3, 62e3)],
        "measured",
        digits(0.0, "the measured peaks must lie in the computed range"),
        "Siebert, 2018",
        through="closed form",
        between=True,
    ),
    Case(
        "W52",
        "80 kg, factor 1.78 on a used dynamic rope, drops 1 to 3: peak, at 11 to 36 kN of stiffness",
        (7.41, 9.20, 10.45),
        "kN",
        lambda: [float(peak_force(80 * GRAVITY, ea, 1.78)) / 1000 for ea in (11e3, 36e3)],
        "measured",
        digits(0.0, DYNAMIC_SPAN),
        EXAMPLE,
        through="closed form",
        between=True,
    ),
    Case(
        "W53",
        "80 kg, factor 1.77 on one strand of 8.5, 8.2 and 7.7 mm half rope: stiffness",
        (25.3, 24.1, 21.2),
        "kN",
        lambda: [stiffness_kn(80, peak, 1.77) for peak in (9.2, 9.0, 8.5)],
        "measured",
        band(0.01, "peaks rounded to 0.1 kN move the stiffness by 1 to 2 %"),
        EXAMPLE,
        through="closed form",
    ),
    Case(
        "W54",
        "factor 1.71, redirect, drops 1 to 5: rope tension as anchor over 1.7, at 13 to 38 kN of stiffness",
        tuple(carabiner_tension(f) for f in (11.7, 15.0, 16.7, 17.7, 18.4)),
        "kN",
        lambda: [float(peak_force(80 * GRAVITY, ea, 1.71)) / 1000 for ea in (13e3, 38e3)],
        "measured",
        digits(0.24, "read from a chart to 0.2 kN at the anchor, 0.12 kN in the rope"),
        MOYER,
        through="closed form",
        between=True,
    ),
    Case(
        "W55",
        "200 kg, 1 m on 3 m, no slip, stiffness 20, 30, 40 and 60 kN: peak",
        (7.4, 8.5, 9.5, 11.0),
        "kN",
        lambda: [belay_test(ea) for ea in (20, 30, 40, 60)],
        "right",
        digits(0.1),
        "derived for the belay test of ASTM F2436-14 (2019)",
        through="closed form",
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_published_catches(case: Case) -> None:
    check(case)


def test_the_belay_tests_force_limit_binds_only_on_a_nearly_rigid_rope() -> None:
    assert stiffness_kn(200, 15.0, 1 / 3) == pytest.approx(127, abs=1)


def test_a_grip_within_the_belay_tests_limits_must_hold_enough_to_stop_in_a_metre() -> None:
    """1 m of fall and at most 1 m of travel: the grip must slip at no less than twice the weight."""
    assert slip_travel(200 * GRAVITY, 1.0, 2 * 200 * GRAVITY) == pytest.approx(1.0)
    assert math.isinf(slip_travel(200 * GRAVITY, 1.0, 200 * GRAVITY))
