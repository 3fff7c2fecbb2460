"""Strokes against closed forms: how far a haul goes until two things meet."""

import numpy as np
import pytest

from ropewright.mechanics import GRAVITY, move, travel

from .builders import STIFF, nine_to_one, self_haul, three_to_one

ROOM = 0.4


def test_a_3_to_1_hauls_until_its_grab_is_at_the_device() -> None:
    motion = move(three_to_one(), 1)
    room = np.full(4, ROOM)
    found = travel(motion, room, 50.0)
    line = 5 * (1 + 100 * GRAVITY / STIFF)  # the load's strand, stretched, carries the grab
    assert found.meets in (1, 2)  # up to the device and back down from it: the same two things
    assert found.reach == pytest.approx(10 - ROOM - line, abs=3e-3)
    assert found.rope == pytest.approx(3 * found.reach, rel=1e-6)
    assert found.shortest[1] == pytest.approx(ROOM, abs=3e-3)


def test_a_goal_nearer_than_the_end_is_reached() -> None:
    found = travel(move(three_to_one(), 1), np.full(4, ROOM), 2.0)
    assert (found.reach, found.meets) == (2.0, -1)
    assert found.rope == pytest.approx(6.0, rel=1e-6)


def test_a_self_haul_ends_where_the_device_meets_the_grab() -> None:
    motion = move(self_haul(), 1)
    found = travel(motion, np.full(4, ROOM), 50.0)
    # the grab hangs 6 m below the beam on a strand with two thirds of the weight... and does not move
    hang = 6 * (1 + float(motion.frictionless.tension[0, 0]) / STIFF)
    start = float(motion.frictionless.position[2, motion.system.load, 0])
    assert found.reach == pytest.approx((9 - hang) - start - ROOM, abs=3e-3)
    assert found.rope == pytest.approx(3 * found.reach, rel=1e-3)


def test_the_second_stage_of_a_9_to_1_runs_out_first() -> None:
    found = travel(move(nine_to_one(), 1), np.full(7, ROOM), 50.0)
    # where the grabs stand once the ropes have stretched; the second goes up three times as fast as the load
    pull = 100 * GRAVITY / STIFF
    first = 3 * (1 + pull)
    second = 17 * (1 + pull / 3) - 2 * (10 - first) + first
    assert found.reach == pytest.approx((10 - second - ROOM) / 3, abs=3e-3)
    assert found.rope == pytest.approx(9 * found.reach, rel=1e-3)


def test_lowering_pays_rope_out() -> None:
    found = travel(move(three_to_one(), -1), np.zeros(4), 1.0)
    assert (found.reach, found.meets) == (1.0, -1)
    assert found.rope < 0


def test_strands_too_short_from_the_start_do_not_end_it_unless_they_shorten() -> None:
    room = np.full(4, ROOM)
    room[0] = 8.0  # the load's own strand never gets shorter
    found = travel(move(three_to_one(), 1), room, 2.0)
    assert found.meets == -1


def test_a_way_down_ends_where_the_first_thing_stands() -> None:
    """The load and the grab over it sink alike: whichever has the less room beneath it ends the way."""
    motion = move(three_to_one(), -1)
    load, start = motion.system.load, motion.frictionless.position[2, :, 0]
    grab = int(motion.system.strands.end[0])
    for first, room in ((load, 0.7), (grab, 0.4)):
        floors = np.full(len(start), -np.inf)
        floors[load] = start[load] - 0.7
        floors[grab] = start[grab] - (0.4 if first == grab else 5.0)
        found = travel(motion, np.zeros(4), 2.0, floors)
        assert (found.stands, found.meets) == (first, -1)
        assert found.reach == pytest.approx(room, abs=3e-3)


def test_what_rises_or_stands_already_comes_down_on_nothing() -> None:
    motion = move(three_to_one(), 1)
    floors = motion.frictionless.position[2, :, 0] + 0.5
    found = travel(motion, np.zeros(4), 1.0, floors)
    assert (found.reach, found.stands) == (1.0, -1)
