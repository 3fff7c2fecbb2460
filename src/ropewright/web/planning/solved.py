"""A plan's programme solved, and its answer kept under everything that it follows from, the stock included.

So nothing kept is ever stale: whatever changes in the store makes another key.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from datetime import date
from typing import Any

from ropewright.allotting import (
    Allotment,
    Fetch,
    Given,
    Goals,
    Item,
    Left,
    Need,
    Repair,
    Repairs,
    Reserve,
    allot,
    repairs_of,
)
from ropewright.web.planning.stock import Cache
from ropewright.web.workings.results import kept

__all__ = ["Solved", "missing", "missing_kinds", "solve"]

_OF_A_NEED = tuple(each.name for each in fields(Need))


@dataclass(frozen=True, slots=True)
class Solved:
    """The best allotment, and what would repair it where it is short."""

    allotment: Allotment
    repairs: Repairs


def solve(
    needs: Sequence[Need], cache: Cache, day: date, reserve: Sequence[Reserve], *, lend: bool
) -> Solved:
    """Solve it, or take the answer that was kept for these very needs and items."""
    whole = tuple(needs)

    def work() -> dict[str, Any]:
        found = allot(whole, cache.items, day, reserve=reserve, lend=lend)
        return _written(Solved(found, repairs_of(found, cache.items, day, reserve, lend=lend)), whole)

    parts = _parts(whole, cache, day, reserve, lend)
    return _read(kept("plan", parts, work), whole, {item.mark: item for item in cache.items})


def missing(
    needs: Sequence[Need], cache: Cache, day: date, reserve: Sequence[Reserve], *, lend: bool
) -> tuple[int, ...]:
    """How many pieces of each need nothing serves, without a look for repairs; kept in the same way."""

    def work() -> dict[str, Any]:
        return {"unmet": allot(needs, cache.items, day, reserve=reserve, lend=lend).unmet}

    return tuple(kept("plans of a day", _parts(needs, cache, day, reserve, lend), work)["unmet"])


def missing_kinds(
    needs: Sequence[Need], cache: Cache, day: date, reserve: Sequence[Reserve], *, lend: bool
) -> tuple[tuple[int, Need], ...]:
    """What nothing serves, kind by kind: how many of it, and a need that asks for one."""
    unmet: Counter[tuple[str, float | None, str]] = Counter()
    like: dict[tuple[str, float | None, str], Need] = {}
    for need, count in zip(needs, missing(needs, cache, day, reserve, lend=lend), strict=True):
        if count:
            key = (need.type, need.length, need.size)
            unmet[key] += count
            like.setdefault(key, need)
    return tuple((count, like[key]) for key, count in unmet.items())


def _parts(
    needs: Sequence[Need], cache: Cache, day: date, reserve: Sequence[Reserve], lend: bool
) -> tuple[object, ...]:
    """Everything that an answer follows from."""
    return (
        [[getattr(need, each) for each in _OF_A_NEED] for need in needs],
        cache.digest,
        day,
        [asdict(line) for line in reserve],
        lend,
    )


def _written(solved: Solved, needs: tuple[Need, ...]) -> dict[str, Any]:
    found, repairs = solved.allotment, solved.repairs
    return {
        "given": [(given.need, given.part, given.item.mark) for given in found.given],
        "unmet": found.unmet,
        "goals": asdict(found.goals),
        "proven": found.proven,
        "ways": [_repair(way) for way in repairs.ways],
        "steps": [_repair(step) for step in repairs.steps],
        "fetch": [(asdict(one.need), one.count) for one in repairs.fetch],
    }


def _repair(repair: Repair) -> dict[str, Any]:
    return {
        "inspect": [item.mark for item in repair.inspect],
        "lend": [item.mark for item in repair.lend],
        "leave": [asdict(left) for left in repair.leave],
        "unmet": repair.unmet,
    }


def _read(data: dict[str, Any], needs: tuple[Need, ...], items: dict[str, Item]) -> Solved:
    given = tuple(Given(need, part, items[mark]) for need, part, mark in data["given"])
    found = Allotment(needs, given, tuple(data["unmet"]), Goals(**data["goals"]), bool(data["proven"]))

    def repair(one: dict[str, Any]) -> Repair:
        return Repair(
            tuple(items[mark] for mark in one["inspect"]),
            tuple(items[mark] for mark in one["lend"]),
            tuple(Left(**left) for left in one["leave"]),
            tuple(one["unmet"]),
        )

    fetch = tuple(
        Fetch(Need(**{**need, "unit": needs[0].unit, "parts": ()}), count) for need, count in data["fetch"]
    )
    ways, steps = tuple(map(repair, data["ways"])), tuple(map(repair, data["steps"]))
    return Solved(found, Repairs(ways, steps, fetch))
