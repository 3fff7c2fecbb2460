"""People against the limits of the gear they would wear or hang on, and against the ratio of instructors.

Somebody over a limit has failed nothing: it is a limit of the equipment.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from ropewright.allotting.allot import Allotment
from ropewright.allotting.demand import Unit
from ropewright.allotting.pieces import Worn

__all__ = ["Limit", "Over", "Ratio", "limits_with", "over_limits", "worst_ratio"]

SAME = 1e-3
"""Share by which a mass may exceed a rating through rounding alone."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit in kilograms of one piece of one rig, by its item's own record where there is one.

    ``most`` None: nobody said. ``others`` [kg] hang on it besides. ``mark``: the item, if one is allotted.
    """

    unit: Unit
    person: str
    part: str
    type: str
    most: float | None
    others: float
    mark: str = ""

    def allows(self, mass: float) -> bool | None:
        """Whether somebody of this mass [kg] may hang on it; None where it is not known."""
        return None if self.most is None else mass + self.others <= self.most * (1 + SAME)


@dataclass(frozen=True, slots=True)
class Over:
    """Somebody who is over a limit in every copy of a line, with the limits that are met first.

    ``known`` is False where no limit is exceeded but one is not stated. ``may``: the copies that would do.
    """

    name: str
    mass: float
    line: int
    limits: tuple[Limit, ...]
    known: bool
    may: tuple[Unit, ...] = ()


def limits_with(units: Iterable[Unit], worn: Sequence[Worn], found: Allotment) -> tuple[Limit, ...]:
    """The limits of the rigs of one line, each by the item that is allotted to the piece."""
    out = []
    for unit in units:
        items = {given.part: given.item for given in found.of(unit)}
        for one in worn:
            item = items.get(one.part)
            most = one.most if item is None or item.user_mass is None else item.user_mass
            out.append(
                Limit(unit, one.person, one.part, one.type, most, one.others, item.mark if item else "")
            )
    return tuple(out)


def over_limits(people: Iterable[tuple[str, float]], limits: Iterable[Limit]) -> tuple[Over, ...]:
    """Who may not hang on which line: everybody whom not every place of some copy takes.

    people: names and masses with gear [kg]. A limit that nobody stated is not known and never passes.
    """
    out, everybody = [], list(people)
    ordered = sorted(limits, key=lambda limit: limit.unit)
    for line, found in groupby(ordered, key=lambda limit: limit.unit.line):
        copies = [list(copy) for _, copy in groupby(found, key=lambda limit: limit.unit)]
        for name, mass in everybody:
            refused = [[limit for limit in copy if limit.allows(mass) is False] for copy in copies]
            unknown = [[limit for limit in copy if limit.most is None] for copy in copies]
            may = tuple(
                copy[0].unit
                for copy, no, open_ in zip(copies, refused, unknown, strict=True)
                if not no + open_
            )
            if len(may) < len(copies):
                least = min(
                    (no or open_ for no, open_ in zip(refused, unknown, strict=True) if no or open_), key=len
                )
                out.append(Over(name, mass, line, tuple(least), any(refused), may))
    return tuple(out)


@dataclass(frozen=True, slots=True)
class Ratio:
    """Students for each instructor in the group that has the most; ``instructors`` 0: a group has none."""

    groups: int
    students: int
    instructors: int

    def within(self, most: float) -> bool:
        """Whether that is no more than a policy allows."""
        return self.students == 0 or (self.instructors > 0 and self.students <= most * self.instructors)


def worst_ratio(students: int, instructors: int, groups: int) -> Ratio:
    """The worst group when students and instructors are shared out as evenly as they can be."""
    groups = max(1, groups)
    of = [
        (students // groups + (k < students % groups), instructors // groups + (k < instructors % groups))
        for k in range(groups)
    ]
    worst = max(of, key=lambda group: group[0] / group[1] if group[1] else float("inf") if group[0] else 0.0)
    return Ratio(groups, *worst)
