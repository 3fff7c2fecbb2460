"""Newton's method from a state near rest, against the programme that needs no such state."""

import importlib
from dataclasses import replace

import numpy as np
import pytest

from ropewright.mechanics import GRAVITY, System, held, settle

from .builders import STIFF, Rig, three_to_one
from .random_rigs import random_rig

settling = importlib.import_module("ropewright.mechanics.settle")
MASS = 100.0


@pytest.fixture
def no_programme(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever asks the programme fails."""

    def asked(_: object) -> None:
        raise AssertionError("the programme was asked")

    monkeypatch.setattr(settling._Convex, "solve", asked)


def heavier(system: System, share: float) -> System:
    mass = system.mass.copy()
    mass[system.load] *= 1.0 + share
    return system.with_masses(mass)


def test_a_load_near_its_rest_is_settled_without_the_programme(no_programme: None) -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 10, fixed=True), r.point("load", 0, 5, mass=MASS)
    r.rope(r.tie(beam), r.tie(load))
    system = r.build("load")
    lower = system.position.copy()
    lower[load, 2] -= 0.1  # the rope pulls already
    rest = settle(replace(system, position=lower), near=True)
    assert rest.settled
    assert rest.tension == pytest.approx([MASS * GRAVITY], rel=1e-9)
    assert rest.position[load, 2] == pytest.approx(10 - 5 * (1 + MASS * GRAVITY / STIFF), abs=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_it_finds_what_the_programme_finds(seed: int) -> None:
    system = random_rig(seed).system
    movable = system.free[held(system)[system.free]]
    rest = settle(system, movable=movable)
    if not rest.settled or not len(movable):
        return
    near = heavier(system.with_state(rest.position, rest.laid), 0.02)
    quick, slow = settle(near, movable=movable, near=True), settle(near, movable=movable)
    assert quick.settled == slow.settled
    assert quick.tension == pytest.approx(slow.tension, abs=1e-4 * near.moved_weight)
    assert quick.residual <= 1e-6 * near.moved_weight


def test_rope_does_not_go_back_through_a_contact_that_stops_it(no_programme: None) -> None:
    """A device between a taut strand and a tauter one on the side that it holds: each keeps its tension."""
    system, laid = _two_sides(0.02, 0.01)
    rest = settle(system, near=True)
    assert rest.settled
    assert not rest.passed.any()
    assert rest.tension == pytest.approx(laid, rel=1e-6)


def test_rope_goes_through_the_way_it_may_until_both_sides_pull_alike(no_programme: None) -> None:
    system, _ = _two_sides(0.01, 0.02)
    rest = settle(system, near=True)
    shared = 0.03 / (9.97 / STIFF)
    assert rest.settled
    assert rest.tension == pytest.approx([shared, shared, MASS * GRAVITY], rel=1e-6)
    assert rest.passed.max() == pytest.approx(0.02 - shared * 4.98 / STIFF, abs=1e-9)


def _two_sides(first: float, second: float) -> tuple[System, list[float]]:
    """A level rope tied at both ends, through a device half way that lets rope only towards its end; each
    half is that much [m] short. A weight hangs apart, so that something moves.
    """
    r = Rig()
    left, middle, right = (r.point(name, x, 10, fixed=True) for name, x in (("a", 0), ("b", 5), ("c", 10)))
    load = r.point("load", 5, 5, mass=MASS)
    r.rope(r.tie(left), r.grab(middle), r.tie(right))
    r.rope(r.tie(middle), r.tie(load))
    system = r.build("load")
    hung = 5 / (1 + MASS * GRAVITY / STIFF)
    ready = system.with_state(system.position, np.array([5 - first, 5 - second, hung]))
    return ready, [STIFF * first / (5 - first), STIFF * second / (5 - second), MASS * GRAVITY]


def test_a_rig_far_from_its_rest_is_left_to_the_programme(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, solve = list[object](), settling._Convex.solve

    def counted(problem: object) -> object:
        asked.append(problem)
        return solve(problem)

    monkeypatch.setattr(settling._Convex, "solve", counted)
    rest = settle(three_to_one(), near=True)
    assert rest.settled
    assert asked
