import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ropewright.mechanics.errors import NoSolutionError
from ropewright.mechanics.frames import bipod_leg, gin_pole, guy_tension, leg_forces, tripod_leg

SUM = 1e-9
"""Share of the load that the solved forces may miss equilibrium by: rounding of a 3 by 3 solve."""


def down(newtons: float) -> np.ndarray:
    return np.array([0.0, 0.0, -newtons])


def ring(radius: float, count: int) -> np.ndarray:
    turn = 2 * math.pi * np.arange(count) / count
    return np.stack([radius * np.cos(turn), radius * np.sin(turn), 0 * turn], axis=1)


@pytest.mark.parametrize("spread_deg", [5.0, 20.0, 45.0, 70.0])
def test_a_symmetric_tripod_shares_its_load_in_three(spread_deg: float) -> None:
    spread = math.radians(spread_deg)
    forces = leg_forces(ring(2.0 * math.tan(spread), 3), np.array([0, 0, 2.0]), down(900.0))
    assert forces == pytest.approx([tripod_leg(900.0, spread)] * 3, rel=SUM)
    assert forces[0] == pytest.approx(300.0 / math.cos(spread), rel=SUM)


def test_a_symmetric_bipod_shares_its_load_in_two() -> None:
    feet = np.array([[-1.0, 0, 0], [1.0, 0, 0]])
    spread = math.atan(1.0 / 3.0)
    forces = leg_forces(feet, np.array([0, 0, 3.0]), down(1000.0))
    assert forces == pytest.approx([bipod_leg(1000.0, spread)] * 2, rel=SUM)


def test_a_pole_with_the_haul_tied_at_its_foot_bears_load_and_pull() -> None:
    pole = gin_pole(np.zeros(3), np.array([0, 0, 5.0]), np.array([[4.0, 0, 0]]), down(100.0) + down(100.0))
    assert pole.compression == pytest.approx(200.0)
    assert pole.guys == pytest.approx([0.0])


@pytest.mark.parametrize("angle_deg", [10.0, 25.0, 40.0])
def test_a_guy_at_the_resultants_own_angle_carries_the_resultant(angle_deg: float) -> None:
    a = math.radians(angle_deg)
    head = np.array([0, 0, 5.0])
    guy = np.array([[-5.0 * math.tan(a), 0, 0]])
    pole = gin_pole(np.zeros(3), head, guy, 2000.0 * np.array([math.sin(a), 0, -math.cos(a)]))
    assert pole.guys == pytest.approx([2000.0], rel=SUM)


@given(rp=st.floats(0.01, 1.2), pg=st.floats(0.05, 1.5), size=st.floats(1.0, 1e5))
def test_the_planar_pole_follows_its_two_angles(rp: float, pg: float, size: float) -> None:
    head = np.array([0, 0, 4.0])
    guy = head + 4.0 * np.array([[-math.sin(pg), 0, -math.cos(pg)]])
    load = size * np.array([math.sin(rp), 0, -math.cos(rp)])
    pole = gin_pole(np.zeros(3), head, guy, load)
    assert pole.guys[0] == pytest.approx(size * math.sin(rp) / math.sin(pg), rel=1e-7)
    assert pole.compression == pytest.approx(
        size * math.sin(rp + pg) / math.sin(pg), rel=1e-6, abs=1e-6 * size
    )


def test_two_guys_hold_a_pull_out_of_the_plane() -> None:
    head = np.array([0, 0, 4.0])
    guys = np.array([[-4.0, 2.0, 0], [-4.0, -2.0, 0]])
    pole = gin_pole(np.zeros(3), head, guys, np.array([300.0, 50.0, -1000.0]))
    units = (guys - head) / np.linalg.norm(guys - head, axis=1)[:, None]
    total = np.array([0, 0, pole.compression]) + pole.guys @ units + np.array([300.0, 50.0, -1000.0])
    assert np.abs(total).max() < SUM * 1000


@given(seed=st.integers(0, 2**32 - 1))
def test_three_legs_and_their_load_are_in_equilibrium(seed: int) -> None:
    rng = np.random.default_rng(seed)
    feet, head = rng.uniform(-3, 3, (3, 3)), np.array([0, 0, 4.0])
    units = (head - feet) / np.linalg.norm(head - feet, axis=1)[:, None]
    assume(np.linalg.svd(units)[1][-1] > 1e-3)
    load = rng.normal(size=3) * 1000
    assert np.abs(leg_forces(feet, head, load) @ units + load).max() < 1e-8 * 1000


def test_legs_in_one_plane_are_refused() -> None:
    feet = np.array([[-1.0, 0, 0], [0.5, 0, 0], [2.0, 0, 0]])
    with pytest.raises(NoSolutionError, match="3 legs lie in one plane"):
        leg_forces(feet, np.array([0, 0, 3.0]), down(1.0))


def test_two_legs_in_one_line_are_refused() -> None:
    with pytest.raises(NoSolutionError, match="2 legs lie along one line"):
        leg_forces(np.array([[0, 0, 0], [0, 0, 1.0]]), np.array([0, 0, 3.0]), down(1.0))


def test_a_load_out_of_the_plane_of_a_bipod_is_refused_with_its_size() -> None:
    feet = np.array([[-1.0, 0, 0], [1.0, 0, 0]])
    with pytest.raises(NoSolutionError, match=r"^50 N of the load points out of the plane"):
        leg_forces(feet, np.array([0, 0, 3.0]), np.array([0, 50.0, -1000.0]))


def test_a_guy_that_would_push_is_refused() -> None:
    with pytest.raises(NoSolutionError, match="guy 1 would have to push"):
        gin_pole(np.zeros(3), np.array([0, 0, 4.0]), np.array([[4.0, 0, 0]]), np.array([200.0, 0, -1000.0]))


def test_a_pole_pulled_off_its_foot_is_refused() -> None:
    with pytest.raises(NoSolutionError, match="lifted off its foot"):
        gin_pole(np.zeros(3), np.array([0, 0, 4.0]), np.array([[-4.0, 0, 0]]), np.array([200.0, 0, 900.0]))


def test_a_foot_at_the_head_is_refused() -> None:
    with pytest.raises(ValueError, match="leg 2 has no length"):
        leg_forces(np.array([[0, 0, 0], [0, 0, 3.0]]), np.array([0, 0, 3.0]), down(1.0))


@pytest.mark.parametrize("count", [1, 4])
def test_other_counts_of_legs_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"not {count}"):
        leg_forces(ring(1.0, count), np.array([0, 0, 3.0]), down(1.0))


def test_a_flat_guy_carries_the_side_pull_itself() -> None:
    assert guy_tension(1000.0, 0.0) == 1000.0
    with pytest.raises(ValueError, match="below π/2"):
        guy_tension(1000.0, math.pi / 2)
