"""Ranges in, ranges out: the draw, the samples and which input matters, against closed forms."""

import math

import numpy as np
import pytest

from ropewright.mechanics import GRAVITY, Friction, draw, friction_of, importance, move, solve_samples

from .builders import three_to_one

MANY = 200_000


def quantile(share: float, low: float, likely: float, high: float) -> float:
    """Of the triangular distribution."""
    if share <= (likely - low) / (high - low):
        return low + math.sqrt(share * (high - low) * (likely - low))
    return high - math.sqrt((1 - share) * (high - low) * (high - likely))


@pytest.mark.parametrize("one", [(0.0, 0.5, 1.0), (0.75, 0.85, 0.95), (2.0, 2.0, 5.0), (1.0, 4.0, 4.0)])
def test_samples_are_triangular(one: tuple[float, float, float]) -> None:
    low, likely, high = one
    got = draw([low], [likely], [high], MANY)[0]
    assert got.min() >= low
    assert got.max() <= high
    for share in (0.05, 0.5, 0.95):
        found = float(np.percentile(got, 100 * share))
        assert found == pytest.approx(quantile(share, *one), abs=0.005 * (high - low))
    assert got.mean() == pytest.approx((low + likely + high) / 3, abs=0.003 * (high - low))


def test_a_single_figure_stays_single_and_the_same_seed_gives_the_same() -> None:
    a, b = (draw([3.0, 0.0], [3.0, 1.0], [3.0, 2.0], 50) for _ in range(2))
    assert (a[0] == 3.0).all()
    assert np.array_equal(a, b)
    assert not np.array_equal(a, draw([3.0, 0.0], [3.0, 1.0], [3.0, 2.0], 50, seed=1))


def test_inputs_are_independent() -> None:
    a = draw([0.0, 0.0], [1.0, 1.0], [2.0, 2.0], MANY)
    assert abs(float(np.asarray(np.corrcoef(a))[0, 1])) < 0.01


def test_samples_of_the_3_to_1_follow_its_closed_form() -> None:
    motion = move(three_to_one(0.9), 1)
    efficiency = draw([0.75], [0.85], [0.95], 5000)[0]
    mass = draw([80.0], [100.0], [130.0], 5000, seed=3)[0]
    per = np.where(np.array(motion.stance.slip)[:, None] != 0, -np.log(efficiency) / np.pi, 0.0)
    masses = np.zeros((len(motion.system.mass), 5000))
    masses[motion.system.load] = mass
    got = solve_samples(motion, Friction(np.zeros_like(per), per), masses)
    assert got.residual.max() < 1e-5 * motion.system.moved_weight
    expected = mass * GRAVITY / (1 + efficiency + efficiency**2)
    assert got.hand == pytest.approx(expected, rel=1e-5)


def test_more_samples_than_one_chunk_come_back_in_their_order() -> None:
    motion = move(three_to_one(0.9), 1)
    count = 9000
    mass = np.zeros((len(motion.system.mass), count))
    mass[motion.system.load] = np.linspace(50.0, 150.0, count)
    central = friction_of(motion.system, motion.stance)
    friction = Friction(np.repeat(central.fixed, count, axis=1), np.repeat(central.per_radian, count, axis=1))
    hand = solve_samples(motion, friction, mass).hand
    assert hand == pytest.approx(mass[motion.system.load] * GRAVITY / (1 + 0.9 + 0.81), rel=1e-5)


def test_the_input_that_moves_the_outcome_matters() -> None:
    a = draw([0.0] * 3, [1.0] * 3, [2.0] * 3, 4000)
    assert importance(a, 10 * a[1] + 0.01 * a[0]) == pytest.approx([0, 1, 0], abs=0.01)
    assert importance(a, a[0] - a[2]) == pytest.approx([0.5, 0, 0.5], abs=0.05)
    # shares go with the variances: 1 to 4 for twice the slope, exact for ranks only in part
    first, second, third = importance(a, a[0] + 2 * a[1])
    assert second > 3 * first > 30 * third


def test_what_does_not_vary_does_not_matter() -> None:
    a = draw([1.0, 0.0], [1.0, 1.0], [1.0, 2.0], 100)
    assert importance(a, a[1]) == pytest.approx([0.0, 1.0])
    assert importance(a, np.full(100, 7.0)).tolist() == [0.0, 0.0]
    assert importance(a[:1], a[1]).tolist() == [0.0]
