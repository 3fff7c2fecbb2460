"""The answer in the form that the templates show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from ropewright.allotting import Given, Row, Unit
from ropewright.quantity import show_force, show_length, show_mass
from ropewright.web.planning import telling
from ropewright.web.planning.answer import Answer
from ropewright.web.planning.asked import Asked
from ropewright.web.planning.verdict import unknowns, verdict
from ropewright.web.policy.now import TeamRules

__all__ = ["Picked", "Station", "page_of", "people_of", "stations_of"]

MOST_NAMED = 12
"""How many items that can't be used are named in a row; more are counted."""
FEW = 4
"""How many rigs a page shows with their items unfolded."""


@dataclass(frozen=True, slots=True)
class Picked:
    """Items of one type that a rig is given, one line each: the item, what it is there, whether it is out."""

    given: Given
    figure: str
    out: bool
    key: int


@dataclass(frozen=True, slots=True)
class Station:
    """One rig with the items that it is given, and what it lacks."""

    name: str
    unit: Unit
    asked: Asked
    picked: tuple[Picked, ...]
    lacks: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many items it is given."""
        return len(self.picked)


@dataclass(frozen=True, slots=True)
class RowShown:
    """A row of the table in words."""

    row: Row
    what: str
    asked: str
    out: tuple[str, ...]
    more_out: int
    notes: tuple[str, ...]

    @property
    def short(self) -> str:
        """How many are missing, in words."""
        return f"{self.row.gap} short"

    @property
    def mark(self) -> str:
        """What is said of the row where nothing is short and nothing spare."""
        if not self.row.longer:
            return "no spare"
        return "served from another row" if self.row.length is None else "served by a longer rope"

    @property
    def own_count(self) -> int:
        """How many are owned."""
        return len(self.row.own)

    @property
    def out_count(self) -> int:
        """How many of them can't be used."""
        return len(self.row.out)


def page_of(found: Answer, rules: TeamRules, *, public: bool = False) -> dict[str, Any]:
    """Everything that a plan's page shows but its people (`people_of`). ``public``: no name and no mass."""
    units = rules.units
    stations = stations_of(found, rules)
    return {
        "plan": found.plan,
        "answer": found,
        "day_words": telling.day_words(found.plan.day, timezone.localdate()),
        "verdict": verdict(found),
        "also_open": [] if found.can else unknowns(found),
        "why": list(telling.why_not(found, units, public=public)),
        "cautions": list(telling.cautions(found, rules)),
        "rows": [_row(row, found, rules) for row in found.rows],
        "stations": stations,
        "stations_few": len(stations) < FEW,
        "left_to_give": any(not p.out for s in stations for p in s.picked),
        "lots": found.lots,
    }


def people_of(found: Answer, rules: TeamRules) -> dict[str, Any]:
    """What is said of the people of a plan: of their masses nothing, not even a count, beyond what the answer
    was worked out with.
    """
    return {
        "over": [telling.over_told(found, one, rules.units) for one in found.over],
        "over_count": len({one.name for one in found.over}),
        "unweighed": [person.name for person in found.unweighed],
        "read_count": len(found.people) - len(found.unread),
        "unread_count": len(found.unread),
    }


def _row(row: Row, found: Answer, rules: TeamRules) -> RowShown:
    units = rules.units
    asked = []
    if row.strength is not None:
        asked.append(show_force(row.strength, units))
    if row.user_mass is not None:
        asked.append(show_mass(row.user_mass, units))
    notes = []
    if row.longer:
        notes.append(_served(row))
    if row.lent:
        notes.append(f"lent: {', '.join(item.mark for item in row.lent)}")
    if row.front:
        notes.append(f"{len(row.front)} more on the front line")
    told = [f"{item.mark}: {why}" for item, why in row.out]
    return RowShown(
        row,
        telling.what_is(row, units),
        ", ".join(asked),
        tuple(told[:MOST_NAMED]),
        max(0, len(told) - MOST_NAMED),
        tuple(notes),
    )


def _served(row: Row) -> str:
    """What serves a row besides its own items: they are counted in the row that they stand in."""
    marks = ", ".join(item.mark for item in row.longer)
    if row.length is None:
        return f"served by {marks}, counted in another row"
    ropes = "a longer rope" if len(row.longer) == 1 else f"{len(row.longer)} longer ropes"
    return f"served by {ropes}, {marks}, counted in a row above"


def stations_of(found: Answer, rules: TeamRules) -> list[Station]:
    """Every rig of the plan with its items."""
    needs, unmet = found.solved.allotment.needs, found.solved.allotment.unmet
    lacking: dict[Unit, list[str]] = {}
    for need, missing in zip(needs, unmet, strict=True):
        if missing:
            long = f", {show_length(need.length, rules.units)}" if need.length is not None else ""
            parts = ", ".join(need.parts[-missing:])
            lacking.setdefault(need.unit, []).append(
                f"{missing} × {need.type}{long}{f' ({parts})' if parts else ''}"
            )
    return [
        Station(
            unit.name,
            unit,
            one,
            tuple(_picked(given, found, rules) for given in found.given(unit)),
            tuple(lacking.get(unit, ())),
        )
        for one in found.asked
        for unit in one.units
    ]


def _picked(given: Given, found: Answer, rules: TeamRules) -> Picked:
    item = given.item
    figures = [show_length(item.length, rules.units)] if item.length else []
    if item.size:
        figures.append(item.size)
    return Picked(given, ", ".join(figures), item.mark in found.cache.here, found.cache.keys[item.mark])
