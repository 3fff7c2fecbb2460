"""What can be at rest and how much a rig can bear, against closed forms."""

import importlib
import math
from dataclasses import replace

import numpy as np
import pytest

from ropewright.mechanics import GRAVITY, Cap, System, can_rest, led_to_hands, limit, rest_bounds, settle

from .builders import Rig

MASS = 100.0
WEIGHT = MASS * GRAVITY


def over_a_bar(mu: float, turn: float) -> System:
    """A load over a bar, the hand so placed that the rope turns by ``turn`` [rad]."""
    r = Rig()
    load, bar = r.point("load", 0, 0, mass=MASS), r.point("bar", 0, 5, fixed=True)
    hand = r.point("hand", 3 * math.sin(turn), 5 + 3 * math.cos(turn), fixed=True)
    r.rope(r.tie(load), r.edge(bar, mu), r.hand(hand))
    return r.build("load")


@pytest.mark.parametrize("mu", [0.0, 0.2, 0.6])
@pytest.mark.parametrize("turn", [0.3, math.pi / 2, 3.0])
def test_at_rest_a_capstan_allows_all_between_its_two_ratios(mu: float, turn: float) -> None:
    system = over_a_bar(mu, turn)
    bounds = rest_bounds(system, system.position)
    assert bounds is not None
    low, high = bounds
    ratio = math.exp(mu * turn)
    assert (low[0], high[0]) == pytest.approx((WEIGHT, WEIGHT), rel=1e-6)
    assert (low[1], high[1]) == pytest.approx((WEIGHT / ratio, WEIGHT * ratio), rel=1e-4)


def test_two_legs_leave_no_choice() -> None:
    r = Rig()
    left, right = r.point("left", -3, 4, fixed=True), r.point("right", 3, 4, fixed=True)
    load = r.point("load", 0, 0, mass=MASS)
    r.rope(r.tie(left), r.tie(load))
    r.rope(r.tie(right), r.tie(load))
    system = r.build("load")
    bounds = rest_bounds(system, system.position)
    assert bounds is not None
    for side in bounds:
        assert side == pytest.approx([WEIGHT / 2 * 5 / 4] * 2, rel=1e-4)


def test_a_self_braking_device_needs_nothing_of_the_hand_and_bears_what_friction_adds() -> None:
    r = Rig(efficiency=0.8)
    load, ring = r.point("load", 0, 0, mass=MASS), r.point("ring", 0, 5, fixed=True)
    hand = r.point("hand", 0, 0, y=0.0001, fixed=True)
    r.rope(r.tie(load), r.device(ring), r.hand(hand))
    system = r.build("load")
    bounds = rest_bounds(system, system.position)
    assert bounds is not None
    assert bounds[0][1] == 0.0
    assert bounds[1][1] == pytest.approx(WEIGHT / 0.8, rel=1e-4)


def test_what_only_a_hand_holds_cannot_rest_without_it() -> None:
    system = over_a_bar(0.3, math.pi / 2)
    assert can_rest(system, system.position)
    assert not can_rest(system, system.position, hands=False)
    assert rest_bounds(system, system.position, hands=False) is None


def test_a_tightened_line_between_fixed_points_has_no_bound() -> None:
    r = Rig()
    left, right = r.point("left", -3, 4, fixed=True), r.point("right", 3, 4, fixed=True)
    beam, load = r.point("beam", 0, 4, fixed=True), r.point("load", 0, 0, mass=MASS)
    r.rope(r.tie(left), r.tie(right))
    r.rope(r.tie(beam), r.tie(load))
    system = r.build("load")
    bounds = rest_bounds(system, system.position)
    assert bounds is not None
    assert bounds[0][0] == 0.0
    assert bounds[1][0] == math.inf


def test_points_that_have_fallen_away_are_not_asked() -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 4, fixed=True), r.point("load", 0, 0, mass=MASS)
    fallen = r.point("fallen", 5, 0, mass=3.0)
    r.rope(r.tie(beam), r.tie(load))
    system = r.build("load")
    assert not can_rest(system, system.position)
    dropped = np.arange(3) == fallen
    assert can_rest(system, system.position, dropped=dropped)


# --- the limit


def asked(system: System, *caps: Cap, hands: bool = True) -> tuple[float, int, int]:
    found = limit(system, system.position, system.weight, caps, hands=hands, band=0.0)
    assert found is not None
    return found.multiple, found.first, found.slips


def test_the_weakest_cap_goes_first() -> None:
    system = over_a_bar(0.0, math.pi / 2)
    rope, anchor = Cap("rope", ((0, 1),), 9.0 * WEIGHT), Cap("anchor", ((0, -1), (1, 1)), 10.0 * WEIGHT)
    multiple, first, slips = asked(system, rope, anchor)
    # at a right angle the bar bears √2 times the rope's tension, so it goes at 10/√2
    assert multiple == pytest.approx(10 / math.sqrt(2), rel=2e-3)
    assert (first, slips) == (1, -1)
    strong = Cap("anchor", ((0, -1), (1, 1)), 20.0 * WEIGHT)
    multiple, first, _ = asked(system, rope, strong)
    assert multiple == pytest.approx(9.0, rel=2e-3)
    assert first == 0


def test_friction_carries_its_share_before_the_hand_gives_out() -> None:
    system = over_a_bar(0.5, math.pi / 2)
    multiple, first, _ = asked(system, Cap("hand", ((1, 1),), 200.0))
    assert multiple == pytest.approx(200.0 * math.exp(0.5 * math.pi / 2) / WEIGHT, rel=2e-3)
    assert first == 0


def test_the_legs_of_an_anchor_give_by_their_angle() -> None:
    r = Rig()
    left, right = r.point("left", -3, 4, fixed=True), r.point("right", 3, 4, fixed=True)
    load = r.point("load", 0, 0, mass=MASS)
    r.rope(r.tie(left), r.tie(load))
    r.rope(r.tie(right), r.tie(load))
    multiple, first, _ = asked(r.build("load"), Cap("left", ((0, 1),), 10e3), Cap("right", ((1, 1),), 8e3))
    assert multiple == pytest.approx(8e3 / (WEIGHT * 5 / 8), rel=2e-3)
    assert first == 1


def test_a_grip_that_slips_is_named() -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 5, fixed=True), r.point("load", 0, 0, mass=MASS)
    r.rope(r.tie(beam), replace(r.grab(load), slips=4000.0), r.tail(load))
    multiple, first, slips = asked(r.build("load"), Cap("rope", ((0, 1),), 30e3))
    assert multiple == pytest.approx(4000.0 / WEIGHT, rel=1e-6)
    assert (first, slips) == (-1, 1)
    heavy = replace(r.build("load"), mass=np.array([0.0, 500.0]))
    assert not can_rest(heavy, heavy.position)


def test_a_cap_counts_the_weights_that_hang_on_the_part_itself() -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 5, fixed=True), r.point("load", 0, 0, mass=MASS)
    below = r.point("below", 0, -2, mass=50.0)
    r.rope(r.tie(beam), r.tie(load))
    r.rope(r.tie(load), r.tie(below))
    # what the upper knot bears: the lower rope's pull and the load's own weight
    cap = Cap("knot", ((1, 1),), 3.0 * 150.0 * GRAVITY, weights=(load,))
    multiple, first, _ = asked(r.build("load"), cap)
    assert multiple == pytest.approx(3.0, rel=2e-3)
    assert first == 0


def test_nothing_known_to_break_and_nothing_that_slips_has_no_limit_worth_the_name() -> None:
    multiple, first, slips = asked(over_a_bar(0.0, math.pi / 2))
    assert multiple > 1e3
    assert (first, slips) == (-1, -1)


def test_a_rig_that_cannot_rest_has_no_limit() -> None:
    system = over_a_bar(0.3, math.pi / 2)
    lone = replace(system, ropes=())
    assert limit(lone, lone.position, 0.5 * lone.weight, [], band=0.0) is None
    found = limit(system, system.position, system.weight, [], hands=False)
    assert found is None or found.multiple == pytest.approx(0.0, abs=1e-9)


def test_the_bounds_hold_what_settling_finds() -> None:
    system = over_a_bar(0.2, 2.0)
    rest = settle(system)
    bounds = rest_bounds(system, rest.position)
    assert bounds is not None
    assert (bounds[0] - 1.0 <= rest.tension).all()
    assert (rest.tension <= bounds[1] + 1.0).all()


def test_tensions_at_hand_that_do_it_need_no_search(monkeypatch: pytest.MonkeyPatch) -> None:
    r = Rig()
    beam, load = r.point("beam", 0, 10, fixed=True), r.point("load", 0, 5, mass=100)
    r.rope(r.tie(beam), r.tie(load))
    system = r.build("load")
    rest = settle(system)
    monkeypatch.setattr(importlib.import_module("ropewright.mechanics.programme"), "_optimum", lambda _: None)
    assert can_rest(system, rest.position, guess=rest.tension)
    assert not can_rest(system, rest.position, guess=0.5 * rest.tension)


def test_tensions_at_hand_that_do_not_do_it_say_nothing() -> None:
    system = over_a_bar(0.3, math.pi)
    assert can_rest(system, system.position, guess=np.zeros(len(system.strands)))


def test_what_is_led_to_a_hand_is_what_friction_leaves() -> None:
    system = over_a_bar(0.3, math.pi)
    weight = 100 * GRAVITY
    led = led_to_hands(system, system.position, np.array([weight, 0.0]))
    assert led == pytest.approx([weight, weight * math.exp(-0.3 * math.pi)], rel=1e-6)
