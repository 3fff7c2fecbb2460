"""Where a rig comes to rest, against closed forms."""

import math

import numpy as np
import pytest

from ropewright.mechanics import GRAVITY, held, settle
from ropewright.mechanics.model import Contact

from .builders import STIFF, Rig, three_to_one

MASS = 100.0
WEIGHT = MASS * GRAVITY


def test_a_rope_hangs_plumb_and_stretches_as_hooke_says() -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 10, fixed=True), r.point("load", 4, 7, mass=MASS)
    r.rope(r.tie(beam), r.tie(load))
    rest = settle(r.build())
    assert rest.settled
    assert rest.position[load] == pytest.approx([0, 0, 10 - 5 * (1 + WEIGHT / STIFF)], abs=1e-5)
    assert rest.tension == pytest.approx([WEIGHT], rel=1e-6)
    assert rest.laid == pytest.approx([5.0], abs=1e-6)


def test_the_answer_does_not_depend_on_where_the_load_was_drawn() -> None:
    answers = []
    for x, z in ((0.0, 4.0), (3.0, 4.0), (-1.0, 2.0)):
        r = Rig()
        left, right = r.point("left", -2, 10, fixed=True), r.point("right", 2, 10, fixed=True)
        load = r.point("load", 0, 5, mass=MASS)
        r.rope(r.tie(left), r.tie(load))
        r.rope(r.tie(right), r.tie(load))
        system = r.build()
        moved = system.position.copy()
        moved[load] = x, 0.5, z
        answers.append(settle(system.with_state(moved, system.strands.laid)).position[load])
    assert answers[1:] == [pytest.approx(answers[0], abs=1e-5)] * 2


def test_two_legs_share_by_their_angle() -> None:
    r = Rig()
    left, right = r.point("left", -3, 10, fixed=True), r.point("right", 3, 10, fixed=True)
    load = r.point("load", 0, 6, mass=MASS)
    r.rope(r.tie(left), r.tie(load))
    r.rope(r.tie(right), r.tie(load))
    rest = settle(r.build())
    drop = 10 - rest.position[load, 2]
    length = math.hypot(3, drop)
    assert rest.tension == pytest.approx([WEIGHT / 2 * length / drop] * 2, rel=1e-6)
    assert length == pytest.approx(5 * (1 + rest.tension[0] / STIFF), abs=1e-6)


def test_a_running_block_finds_the_place_where_both_strands_lean_alike() -> None:
    r = Rig()
    left, right = r.point("left", 0, 10, fixed=True), r.point("right", 4, 12, fixed=True)
    load = r.point("load", 1, 6, mass=MASS)
    r.rope(r.tie(left), r.through(load), r.tie(right))
    rest = settle(r.build())
    a, b = rest.position[load] - [0, 0, 10], rest.position[load] - [4, 0, 12]
    whole = float(np.linalg.norm(a) + np.linalg.norm(b))
    lean = math.asin(4 / whole)  # reflected at the block, the rope is one straight line
    assert abs(a[0]) / np.linalg.norm(a) == pytest.approx(math.sin(lean), abs=1e-5)
    assert rest.tension == pytest.approx([WEIGHT / 2 / math.cos(lean)] * 2, rel=1e-5)


def test_slack_is_taken_up_before_a_second_rope_pulls() -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 10, fixed=True), r.point("load", 0, 5, mass=MASS)
    r.rope(r.tie(beam), r.tie(load))
    r.rope(r.tie(beam), r.tie(load), slack=(1.0,))
    rest = settle(r.build())
    assert rest.tension == pytest.approx([WEIGHT, 0.0], rel=1e-6)
    spare = 6.0 - 5 * (1 + WEIGHT / STIFF)
    assert rest.laid[1] - (10 - rest.position[load, 2]) == pytest.approx(spare, abs=1e-5)


def test_a_grab_that_bites_passes_nothing_and_one_that_lets_rope_through_passes_its_slack() -> None:
    for holds, passes in (("backward", True), ("forward", False)):
        r = Rig()
        beam, post = r.point("beam", 0, 10, fixed=True), r.point("post", 0, 10.5, fixed=True)
        load = r.point("load", 0, 4, mass=MASS)
        # the strand from the beam to the grab on the post has a metre to spare, the one to the load none
        r.rope(r.tie(beam), Contact(post, holds), r.tie(load), slack=(1.0, 0.0))  # type: ignore[arg-type]
        rest = settle(r.build())
        assert rest.settled
        assert bool(rest.passed[1] > 0.5) is passes
        stretched = (6.5 + passes) * WEIGHT / STIFF
        assert 10.5 - rest.position[load, 2] == pytest.approx(6.5 + passes + stretched, abs=0.02)


def test_without_hands_the_device_keeps_what_a_haul_has_won() -> None:
    system = three_to_one()
    rest = settle(system, hands=False)
    # the hand's end is free: what is left is one strand from the load to the device, grab on it
    assert rest.settled
    assert rest.tension[0] == pytest.approx(WEIGHT, rel=1e-6)
    assert rest.tension[2:] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert not held(system, hands=False, opened=True)[system.load]


def test_points_left_out_stay_where_they_are() -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 10, fixed=True), r.point("load", 1, 5, mass=MASS)
    loose = r.point("loose", 7, 7, mass=1.0)
    r.rope(r.tie(beam), r.tie(load))
    rest = settle(r.build(), movable=np.array([load]))
    assert rest.position[loose].tolist() == [7, 0, 7]
    assert rest.settled
    still = settle(r.build(), movable=np.array([], dtype=np.int64))
    assert still.tension.tolist() == [0.0]
    assert still.settled


def test_what_nothing_holds_does_not_settle() -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 10, fixed=True), r.point("load", 1, 5, mass=MASS)
    r.rope(r.through(beam), r.tie(load))
    assert not settle(r.build()).settled
