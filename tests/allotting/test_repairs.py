"""The list of repairs: each way through is told once, and none is told that leaves nothing to rig."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from ropewright.allotting import Item, Left, Need, Repairs, Unit, allot, repairs_of, times

DAY = date(2026, 6, 6)
GOOD, LATE = DAY + timedelta(days=90), DAY - timedelta(days=5)


def _item(mark: str, *, due: date = GOOD, front: bool = False) -> Item:
    return Item(mark, "rope", due=due, front_line=front)


def _repairs(lanes: int, rigs: int, *stock: Item) -> Repairs:
    """Of a plan of one-rope lanes and two-rope rigs."""
    needs = (
        *times([Need(Unit(0), "rope")], 0, "Lanes", lanes),
        *times([Need(Unit(0), "rope", 2)], 1, "Rigs", rigs),
    )
    return repairs_of(allot(needs, stock, DAY), stock, DAY)


@pytest.mark.parametrize("spare", [_item("late", due=LATE), _item("front", front=True)])
def test_a_step_that_mends_the_whole_plan_is_told_as_a_way_alone(spare: Item) -> None:
    found = _repairs(2, 1, *map(_item, "abc"), spare)
    kept = [way for way in found.ways if not way.leave]
    assert [(way.inspect or way.lend, way.short) for way in kept] == [((spare,), 0)]
    assert not any(step in found.ways for step in found.steps)
    assert not any(step.inspect or step.lend for step in found.steps)


def test_a_lane_less_is_told_once_and_the_other_choice_as_a_step() -> None:
    found = _repairs(2, 1, *map(_item, "abc"))
    assert [way.leave for way in found.ways] == [(Left(0, 1, 2),)]
    assert [step.leave for step in found.steps] == [(Left(1, 1, 1),)]


def test_leaving_the_whole_plan_out_repairs_nothing() -> None:
    found = _repairs(2, 0)
    assert found.ways == ()
    assert [(step.leave, step.short) for step in found.steps] == [((Left(0, 1, 2),), 1)]
