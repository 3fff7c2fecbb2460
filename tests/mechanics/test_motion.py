"""Motion against closed forms, and every way in which there is none, with the point that shows it."""

from dataclasses import replace

import numpy as np
import pytest

from ropewright.mechanics import GRAVITY, StuckError, System, as_it_stands, can_rest, move
from ropewright.mechanics.model import Contact

from .builders import Rig, nine_to_one, pulled_from_ground, self_haul, three_to_one
from .random_rigs import random_rig

W = 100 * GRAVITY


@pytest.mark.parametrize("e", [1.0, 0.9, 0.5])
def test_hand_force_and_travel_of_the_textbook_rigs(e: float) -> None:
    for system, ratio, real in (
        (three_to_one(e), 3, 1 + e + e * e),
        (self_haul(e, mass=100), 3, 1 + e + e * e),
        (pulled_from_ground(e, mass=100), 2, e + e * e),
        (nine_to_one(e), 9, (1 + e + e * e) ** 2),
    ):
        motion = move(system, 1)
        assert float(motion.frictionless.hand[0]) == pytest.approx(W / ratio, rel=1e-6)
        assert float(motion.real.hand[0]) == pytest.approx(W / real, rel=1e-6)
        assert motion.hand_travel == pytest.approx(ratio, rel=1e-6)
        assert motion.hands == 1


def test_lowering_runs_through_the_device_against_its_friction() -> None:
    r = Rig()
    ring, load = r.point("ring", 0, 9, fixed=True), r.point("load", 0, 0, mass=100)
    crew = r.point("crew", 1, 0, fixed=True)
    r.rope(r.tie(load), r.device(ring, ratio=20.0), r.hand(crew))
    motion = move(r.build("load"), -1)
    assert float(motion.real.hand[0]) == pytest.approx(W / 20, rel=1e-6)
    assert motion.hand_travel == pytest.approx(-1.0, rel=1e-6)
    up = move(r.build("load"), 1)
    assert float(up.real.hand[0]) == pytest.approx(W, rel=1e-6)


def test_the_load_stands_at_its_drawn_height() -> None:
    for direction in (1, -1):
        motion = move(three_to_one(0.9), direction)
        assert motion.real.position[2, motion.system.load, 0] == pytest.approx(0.0, abs=1e-9)


def test_a_motion_that_stops_can_rest() -> None:
    system = three_to_one(0.9)
    still = as_it_stands(system, move(system, 1))
    assert can_rest(still, still.position)
    assert can_rest(still, still.position, hands=False)  # the device keeps it


# --- no motion: kind, point, contact


def stuck(system: System, direction: int = 1) -> StuckError:
    with pytest.raises(StuckError) as caught:
        move(system, direction)
    return caught.value


def test_nobody_pulls() -> None:
    r = Rig()
    ring, load = r.point("ring", 0, 9, fixed=True), r.point("load", 0, 0, mass=100)
    r.rope(r.tie(load), r.device(ring), r.tail(ring))
    error = stuck(r.build("load"))
    assert (error.kind, error.node) == ("no-hand", load)


def test_a_hand_that_only_tends_pulls_nothing_up() -> None:
    system = three_to_one()
    idle = replace(system, ropes=(replace(system.ropes[0], idle=True),))
    assert stuck(idle).kind == "no-hand"


def test_the_load_is_held_by_nothing() -> None:
    r = Rig()
    ring, load = r.point("ring", 0, 9, fixed=True), r.point("load", 0, 0, mass=100)
    crew, other = r.point("crew", 1, 0, fixed=True), r.point("other", 2, 0, mass=5)
    r.rope(r.tie(other), r.through(ring), r.hand(crew))
    error = stuck(r.build("load"))
    assert (error.kind, error.node) == ("falls", load)
    assert "the load" in str(error)


def test_something_else_that_weighs_is_held_by_nothing() -> None:
    r = Rig()
    ring, load = r.point("ring", 0, 9, fixed=True), r.point("load", 0, 0, mass=100)
    crew, litter = r.point("crew", 1, 0, fixed=True), r.point("litter", 2, 0, mass=5)
    r.rope(r.tie(load), r.through(ring), r.hand(crew))
    error = stuck(r.build("load"))
    assert (error.kind, error.node) == ("falls", litter)
    assert "litter" in str(error)


def test_a_load_made_fast_below_cannot_rise() -> None:
    r = Rig()
    ring, load = r.point("ring", 0, 9, fixed=True), r.point("load", 0, 0, mass=100)
    crew, floor = r.point("crew", 1, 0, fixed=True), r.point("floor", 0, -2, fixed=True)
    r.rope(r.tie(load), r.through(ring), r.hand(crew))
    r.rope(r.tie(floor), r.tie(load))
    error = stuck(r.build("load"))
    assert error.kind == "stuck"
    assert "rope1" in str(error)
    assert error.contact in (3, 4)
    assert error.node in (floor, load)
    assert move(r.build("load"), -1).hands == 1  # down it goes


def test_a_device_the_wrong_way_round_keeps_the_hand_from_the_load() -> None:
    r = Rig()
    ring, load = r.point("ring", 0, 9, fixed=True), r.point("load", 0, 0, mass=100)
    crew = r.point("crew", 1, 0, fixed=True)
    r.rope(r.tie(load), Contact(ring, "forward"), r.hand(crew))
    error = stuck(r.build("load"))
    assert (error.kind, error.contact) == ("stuck", 1)


def test_a_grab_on_backwards_slides_and_lifts_nothing() -> None:
    system = three_to_one()
    contacts = list(system.ropes[0].contacts)
    contacts[1] = replace(contacts[1], holds="forward")
    turned = replace(system, ropes=(replace(system.ropes[0], contacts=tuple(contacts)),))
    error = stuck(turned)
    assert error.kind == "loose"
    assert system.names[error.node] == "grab"


def test_a_block_that_hangs_on_its_rope_alone_is_loose() -> None:
    """A pulley on a level line between the ring and the crew: nothing keeps it in its place."""
    r = Rig()
    ring, load = r.point("ring", 0, 9, fixed=True), r.point("load", 0, 0, mass=100)
    crew = r.point("crew", 4, 9, fixed=True)
    roller = r.point("roller", 2, 9)
    r.rope(r.tie(load), r.through(ring), r.through(roller), r.hand(crew))
    error = stuck(r.build("load"))
    assert (error.kind, error.node) == ("loose", roller)


def test_a_choice_that_goes_round_in_a_circle_is_owned_up_to() -> None:
    """A rig from the random ones whose grab neither holds nor passes its rope once there is friction."""
    kinds = {}
    for seed in (56, 95, 122):
        error = stuck(random_rig(seed).system, -1)
        kinds[seed] = error.kind
        assert error.node >= 0
        assert error.contact >= 0
        assert random_rig(seed).system.names[error.node] in str(error)
    assert set(kinds.values()) == {"unsolved"}


def test_friction_that_the_rig_cannot_bear_is_owned_up_to() -> None:
    error = stuck(random_rig(149).system, -1)
    assert error.kind in ("unsolved", "falls")  # what would only jam counts as falling
    assert str(error)


def test_positions_are_finite_where_there_is_a_motion() -> None:
    motion = move(nine_to_one(0.5), 1)
    assert np.isfinite(motion.real.position).all()
    assert motion.real.residual[0] < 1e-6 * W
