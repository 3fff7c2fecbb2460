import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.mechanics.catch import (
    peak_force,
    redirect_force,
    slip_catch,
    slip_travel,
    spring_peak,
    stiffness_from_peak,
    stretch,
)

weights = st.floats(100.0, 5000.0)
stiffnesses = st.floats(1e4, 1e6)
factors = st.floats(0.0, 2.0)


@given(weight=weights, stiffness=stiffnesses)
def test_a_load_let_go_on_a_tight_rope_is_caught_at_twice_its_weight(weight: float, stiffness: float) -> None:
    assert peak_force(weight, stiffness, 0.0) == pytest.approx(2 * weight)


@given(weight=weights, stiffness=stiffnesses, factor=st.floats(0.01, 2.0), rope=st.floats(0.5, 50.0))
def test_the_fall_and_the_stretch_have_one_energy(
    weight: float, stiffness: float, factor: float, rope: float
) -> None:
    given_way = float(stretch(weight, stiffness, factor * rope, rope))
    assert weight * (factor * rope + given_way) == pytest.approx(
        0.5 * stiffness * given_way**2 / rope, rel=1e-9
    )


@given(weight=weights, stiffness=stiffnesses, factor=st.floats(0.05, 2.0))
def test_the_stiffness_of_a_peak_gives_that_peak(weight: float, stiffness: float, factor: float) -> None:
    peak = peak_force(weight, stiffness, factor)
    assert stiffness_from_peak(weight, peak, factor) == pytest.approx(stiffness, rel=1e-6)


@given(weight=weights, a=stiffnesses, b=stiffnesses, factor=factors)
def test_a_stiffer_rope_never_catches_softer(weight: float, a: float, b: float, factor: float) -> None:
    low, high = sorted((a, b))
    assert peak_force(weight, low, factor) <= peak_force(weight, high, factor) * (1 + 1e-12)


@given(weight=weights, drop=st.floats(0.0, 10.0), spare=st.floats(1.01, 20.0))
def test_slipping_takes_up_the_whole_fall(weight: float, drop: float, spare: float) -> None:
    holding = spare * weight
    travel = slip_travel(weight, drop, holding)
    assert holding * travel == pytest.approx(weight * (drop + travel), rel=1e-9, abs=1e-9)


def test_a_grip_that_slips_at_the_weight_never_stops_it() -> None:
    assert slip_travel(1000.0, 1.0, 1000.0) == math.inf
    assert slip_catch(1000.0, 4e4, 1.0, 3.0, 900.0) == (900.0, math.inf)


@given(
    weight=weights,
    stiffness=stiffnesses,
    fall=st.floats(0.1, 5.0),
    rope=st.floats(1.0, 30.0),
    cap=st.floats(0.2, 0.99),
)
def test_stretching_then_slipping_takes_up_the_whole_fall(
    weight: float, stiffness: float, fall: float, rope: float, cap: float
) -> None:
    alone = float(peak_force(weight, stiffness, fall / rope))
    slips = max(1.05 * weight, cap * alone)
    peak, travel = slip_catch(weight, stiffness, fall, rope, slips)
    given_way = peak * rope / stiffness
    assert peak == pytest.approx(min(alone, slips))
    energy = peak * (0.5 * given_way + travel)
    assert weight * (fall + given_way + travel) == pytest.approx(energy, rel=1e-9)
    assert travel >= 0


def test_a_rope_that_peaks_below_the_slip_force_does_not_slide() -> None:
    assert slip_catch(800.0, 2e4, 0.5, 5.0, 1e5)[1] == 0.0


def test_slipping_in_a_very_stiff_rope_is_the_plain_formula() -> None:
    assert slip_catch(2000.0, 1e12, 1.0, 3.0, 9000.0)[1] == pytest.approx(
        slip_travel(2000.0, 1.0, 9000.0), rel=1e-6
    )


def test_falls_are_solved_many_at_once() -> None:
    many = peak_force(np.array([800.0, 900.0]), 3e4, np.array([[0.3], [1.0]]))
    assert many.shape == (2, 2)
    assert many[1, 0] == peak_force(800.0, 3e4, 1.0)


@pytest.mark.parametrize(
    ("angle_deg", "share"), [(0, 2.0), (60, math.sqrt(3)), (90, math.sqrt(2)), (120, 1.0), (180, 0.0)]
)
def test_a_rope_turned_without_loss_loads_its_point_by_the_angle(angle_deg: float, share: float) -> None:
    assert redirect_force(1000.0, 1.0, math.radians(angle_deg)) == pytest.approx(1000 * share, abs=1e-4)


def test_a_rope_turned_back_over_a_carabiner_loads_it_with_both_sides() -> None:
    assert redirect_force(1000.0, 0.6) == pytest.approx(1600.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_a_weight_that_is_none_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="weight must be a positive number"):
        peak_force(bad, 4e4, 1.0)


def test_other_figures_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="fall factor must be zero or more"):
        peak_force(800.0, 4e4, -0.1)
    with pytest.raises(ValueError, match="not above twice the weight"):
        stiffness_from_peak(800.0, 1500.0, 1.0)
    with pytest.raises(ValueError, match="0 to π"):
        redirect_force(1.0, 1.0, 4.0)


def test_a_spring_agrees_with_a_rope_of_the_same_stiffness() -> None:
    peak, lowest = spring_peak(980.665, 40e3 / 3.0, 1.0)
    assert peak == pytest.approx(float(peak_force(980.665, 40e3, 1.0 / 3.0)), rel=1e-12)
    # energy: what the weight loses on the way down is in the spring at the bottom
    assert 980.665 * lowest == pytest.approx(peak**2 / (2 * 40e3 / 3.0), rel=1e-12)


def test_a_load_let_go_on_a_spring_just_tight_is_caught_at_twice_its_weight() -> None:
    assert spring_peak(900.0, 5e3, 0.0)[0] == pytest.approx(1800.0)
