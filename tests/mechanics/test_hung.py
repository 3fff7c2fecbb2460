"""Rigs with strands that hang under their own weight, against the catenary's closed form."""

import math
from dataclasses import replace

import numpy as np
import pytest

from ropewright.mechanics import GRAVITY, System, friction_of, hang_at_rest, hang_rig, move, settle

from .builders import Rig

PER_METRE = 0.1 * GRAVITY
MASS = 80.0


def line(span: float, height: float, weight: float, laid: float, mass: float = MASS) -> System:
    """A load tied at the middle of a line between two points."""
    r = Rig()
    west = r.point("west", 0, 20, fixed=True)
    east = r.point("east", span, 20 + height, fixed=True)
    load = r.point("load", span / 2, 12, mass=mass)
    for end in (west, east):
        r.rope(r.tie(end), r.tie(load), weight=weight, stiffness=60e3)
    ropes = tuple(replace(rope, laid=(laid,)) for rope in r.ropes)
    return replace(r.build("load"), ropes=ropes)


def test_a_symmetric_line_closes_irvines_equations() -> None:
    span, laid = 60.0, 31.0
    system = line(span, 0.0, PER_METRE, laid)
    hung = hang_at_rest(system, settle(system))
    assert hung is not None
    half = 0.5 * MASS * GRAVITY
    across = float(np.hypot(*hung.on_start[0][:2]))
    low, high = half, half + PER_METRE * laid
    assert hung.on_start[0][2] == pytest.approx(-high, rel=1e-6)
    assert hung.tension_end[0] == pytest.approx(math.hypot(across, low), rel=1e-6)
    assert hung.tension_start[0] == pytest.approx(math.hypot(across, high), rel=1e-6)
    ends = math.asinh(high / across) - math.asinh(low / across)
    assert across * laid / 60e3 + across / PER_METRE * ends == pytest.approx(span / 2, abs=1e-5)
    down = (high**2 - low**2) / (2 * PER_METRE * 60e3) + (
        math.hypot(across, high) - math.hypot(across, low)
    ) / PER_METRE
    assert 20 - hung.position[2, 2] == pytest.approx(down, abs=1e-5)
    assert hung.tension_start[1] == pytest.approx(hung.tension_start[0], rel=1e-6)
    assert hung.position[2, 0] == pytest.approx(span / 2, abs=1e-6)


def test_all_forces_of_a_slanting_line_add_up() -> None:
    system = line(50.0, 6.0, PER_METRE, 28.0)
    hung = hang_at_rest(system, settle(system))
    assert hung is not None
    assert hung.on_end.sum(axis=0) == pytest.approx([0, 0, MASS * GRAVITY], abs=1e-3)
    rope = 2 * 28.0 * PER_METRE
    assert hung.on_start.sum(axis=0) == pytest.approx([0, 0, -MASS * GRAVITY - rope], abs=1e-3)


def test_a_rope_that_weighs_next_to_nothing_hangs_straight() -> None:
    system = line(60.0, 3.0, 1e-6, 31.0)
    rest = settle(system)
    hung = hang_at_rest(system, rest)
    assert hung is not None
    assert hung.tension == pytest.approx(rest.tension, rel=1e-5)
    assert hung.position == pytest.approx(rest.position, abs=1e-4)
    assert hung.sag == pytest.approx([0, 0], abs=1e-4)


def test_a_rope_without_counted_weight_is_not_hung() -> None:
    system = line(60.0, 0.0, 0.0, 31.0)
    assert hang_at_rest(system, settle(system)) is None


def plumb(depth: float) -> System:
    r = Rig(efficiency=0.8)
    ring = r.point("ring", 0, 0, fixed=True)
    load, crew = r.point("load", 0, -depth, mass=MASS), r.point("crew", 5, 0, fixed=True)
    r.rope(r.tie(load), r.device(ring), r.hand(crew), weight=PER_METRE)
    return r.build("load")


def test_a_long_plumb_rope_carries_itself() -> None:
    depth = 80.0
    system = plumb(depth)
    motion = move(system, 1)
    real = motion.real
    hung = hang_rig(
        motion.system,
        motion.stance,
        motion.blocks,
        friction_of(motion.system, motion.stance),
        real.position[:, :, 0].T,
        real.tension[:, 0],
        float(real.hand[0]),
        float(real.position[2, motion.system.load, 0]),
    )
    bottom, top = hung.tension_start[0], hung.tension_end[0]
    assert bottom == pytest.approx(MASS * GRAVITY, rel=1e-5)
    assert top - bottom == pytest.approx(PER_METRE * hung.laid[0], rel=1e-6)
    assert hung.position[motion.system.load, 2] == pytest.approx(-depth, abs=1e-6)
    # the strand to the crew is pulled through the device, a quarter turn or so: 1/0.8 per half turn
    assert hung.hand > top


def test_a_slack_line_sags_below_its_ends() -> None:
    r = Rig()
    left, right = r.point("left", 0, 0, fixed=True), r.point("right", 30, 0, fixed=True)
    beam, load = r.point("beam", 15, 10, fixed=True), r.point("load", 15, 5, mass=MASS)
    r.rope(r.tie(left), r.tie(right), weight=PER_METRE, slack=(2.0,), stiffness=4e7)
    r.rope(r.tie(beam), r.tie(load))
    system = r.build("load")
    hung = hang_at_rest(system, settle(system))
    assert hung is not None
    # half the span over the catenary's constant: sinh(u)/u = 32/30
    u = 0.5
    for _ in range(50):
        u -= (math.sinh(u) / u - 32 / 30) / ((u * math.cosh(u) - math.sinh(u)) / u**2)
    assert hung.sag[0] == pytest.approx(15 / u * (math.cosh(u) - 1), rel=1e-4)
    assert hung.sag[1] == 0.0
