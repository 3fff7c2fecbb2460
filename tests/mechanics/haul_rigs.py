"""Textbook hauls for the tests of the count and its trace: all ropes upright unless a rig says otherwise."""

from __future__ import annotations

from ropewright.mechanics.model import System
from tests.mechanics.builders import Rig


def one_to_one(e: float = 1.0) -> System:
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    crew = r.point("crew", 0, -2, fixed=True)
    r.rope(r.tie(load), r.device(anchor), r.hand(crew))
    return r.build("load")


def two_to_one(e: float = 1.0) -> System:
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(r.tie(anchor), r.through(load), r.hand(crew))
    return r.build("load")


def turned_three_to_one(e: float = 1.0, crew_at: tuple[float, float] = (0, -2)) -> System:
    """A 3:1 whose hand end is led down again over one more sheave at the anchor."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    grab = r.point("grab", 0, 5)
    turn = r.point("turn", 0, 10, fixed=True)
    crew = r.point("crew", *crew_at, fixed=True)
    r.rope(r.tie(load), r.grab(grab), r.device(anchor), r.through(grab), r.through(turn), r.hand(crew))
    return r.build("load")


def four_to_one(e: float = 1.0) -> System:
    """A 2:1 pulled by another 2:1."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    second = r.point("second", 0, 5)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(r.tie(anchor), r.through(load), r.tie(second))
    r.rope(r.tie(anchor), r.through(second), r.hand(crew))
    return r.build("load")


def five_to_one(e: float = 1.0) -> System:
    """A simple 5:1: two sheaves on the grab, two at the anchor."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    grab = r.point("grab", 0, 5)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(
        r.tie(load),
        r.grab(grab),
        r.device(anchor),
        r.through(grab),
        r.through(anchor),
        r.through(grab),
        r.hand(crew),
    )
    return r.build("load")


def six_to_one(e: float = 1.0) -> System:
    """A 3:1 pulled by a 2:1."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    first = r.point("first", 0, 3)
    second = r.point("second", 0, 6)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(r.tie(load), r.grab(first), r.device(anchor), r.through(first), r.tie(second))
    r.rope(r.tie(anchor), r.through(second), r.hand(crew))
    return r.build("load")


def complex_five(e: float = 1.0) -> System:
    """A 3:1 whose hand end runs up to a sheave that bites the strand coming down from the anchor, and
    back down."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    low = r.point("low", 0, 3)
    high = r.point("high", 0, 8)
    crew = r.point("crew", 0, -2, fixed=True)
    r.rope(
        r.tie(load),
        r.grab(low),
        r.device(anchor),
        r.grab(high),
        r.through(low),
        r.through(high),
        r.hand(crew),
    )
    return r.build("load")


def complex_seven(e: float = 1.0) -> System:
    """The complex 5:1 with one more sheave on the lower grab, pulled upwards."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    low = r.point("low", 0, 3)
    high = r.point("high", 0, 8)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(
        r.tie(load),
        r.grab(low),
        r.device(anchor),
        r.grab(high),
        r.through(low),
        r.through(high),
        r.through(low),
        r.hand(crew),
    )
    return r.build("load")


def double_self_haul(e: float = 1.0) -> System:
    """Two sheaves above and one below: the climber pulls on his own rope."""
    r = Rig(efficiency=e)
    beam = r.point("beam", 0, 9, fixed=True)
    climber = r.point("climber", 0, 1, mass=95)
    handled = r.point("handled", 0, 4)
    r.rope(
        r.tie(beam),
        r.grab(handled),
        r.device(climber),
        r.through(handled),
        r.through(climber),
        r.through(handled),
        r.hand(climber),
    )
    return r.build("climber")


def spread_two_to_one() -> System:
    """A 2:1 whose two strands stand 60 degrees apart: 1.73 in truth, 2:1 counted."""
    r = Rig()
    left = r.point("left", -5.7735, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    crew = r.point("crew", 5.7735, 10, fixed=True)
    r.rope(r.tie(left), r.through(load), r.hand(crew))
    return r.build("load")


def two_crews() -> System:
    """Two crews, each with a 3:1 of its own on the same load."""
    r = Rig()
    load = r.point("load", 0, 0, mass=100)
    for side, x in (("left", -0.5), ("right", 0.5)):
        anchor = r.point(f"{side} anchor", x, 10, fixed=True)
        grab = r.point(f"{side} grab", x / 2, 5)
        crew = r.point(f"{side} crew", x, 11, fixed=True)
        r.rope(r.tie(load), r.grab(grab), r.device(anchor), r.through(grab), r.hand(crew))
    return r.build("load")


def uneven_crews() -> System:
    """One crew pulls through a 3:1, the other straight up."""
    r = Rig()
    load = r.point("load", 0, 0, mass=100)
    anchor = r.point("anchor", 0, 10, fixed=True)
    grab = r.point("grab", 0, 5)
    crew = r.point("crew", 0, 11, fixed=True)
    others = r.point("others", 0.1, 11, fixed=True)
    r.rope(r.tie(load), r.grab(grab), r.device(anchor), r.through(grab), r.hand(crew))
    r.rope(r.tie(load), r.hand(others))
    return r.build("load")


def redirected_nine(e: float = 1.0) -> System:
    """A 3:1 on a 3:1, the second stage turned downwards over one more sheave at the anchor."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    first = r.point("first", 0, 3)
    second = r.point("second", 0, 6)
    low = r.point("low", 0, -1, fixed=True)
    crew = r.point("crew", 0, -2, fixed=True)
    r.rope(
        r.tie(load),
        r.grab(first),
        r.device(anchor),
        r.through(first),
        r.through(anchor),
        r.grab(second),
        r.through(low),
        r.through(second),
        r.hand(crew),
    )
    return r.build("load")
