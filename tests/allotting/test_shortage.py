"""The rows of a plan: items that are alike in nothing but their type are told apart."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ropewright.allotting import Item, Need, Unit, allot, rows_of

DAY = date(2026, 6, 6)
NEED = Need(Unit(0), "sling", length=1.0, strength=22e3, user_mass=120.0, size="M")
GOOD = Item("A", "sling", 1.2, 25e3, 150.0, "m", due=DAY + timedelta(days=9))


def test_each_item_is_held_against_its_own_figures() -> None:
    stock = [
        GOOD,
        replace(GOOD, mark="B", length=0.6),
        replace(GOOD, mark="C", strength=15e3),
        replace(GOOD, mark="D", user_mass=100.0),
        replace(GOOD, mark="E", size="L"),
        replace(GOOD, mark="F"),
    ]
    (row,) = rows_of(allot([NEED], stock, DAY), stock, DAY, "metric")
    assert [item.mark for item in row.own] == ["A", "B", "C", "D", "E", "F"]
    assert {item.mark: why for item, why in row.out} == {
        "B": "is 0.6 m long, 1 m is asked",
        "C": "bears 15.0 kN, 22.0 kN is asked",
        "D": "is rated for 100 kg, 120 kg is asked",
        "E": "is size L, M is asked",
    }
    assert row.spare == 1
