"""What has to be brought: the pieces of a rig by type, length and rating, for as many rigs as are planned."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from ropewright.allotting.stock import Item
from ropewright.quantity import Units, show_force, show_length, show_mass

__all__ = ["WRITTEN", "Misfit", "Need", "Unit", "fits", "misfit", "times"]

WRITTEN = 0.01
"""Length [m] by which a rope may be short through rounding alone; the check of a rig allows as much."""
SAME = 1e-3
"""Share by which a rating may fall short through rounding alone; the check of a rig allows as much."""


@dataclass(frozen=True, slots=True, order=True)
class Unit:
    """One rig to be rigged: which line of the plan, which of its copies from 1, and what it is called."""

    line: int
    copy: int = 1
    name: str = ""


@dataclass(frozen=True, slots=True)
class Need:
    """So many pieces of one type that all have to be able to do the same.

    ``parts``: what they are in the rig, as far as they have names there. ``length`` [m], ``strength`` [N] and
    ``user_mass`` [kg]: the least that each must have; None asks for nothing. ``type_strength`` and
    ``type_user_mass``: what the rig's check took for an item of the type, which stands in where an item's own
    record says nothing. None there: the type has none, and an item without its own figure never passes.
    """

    unit: Unit
    type: str
    count: int = 1
    parts: tuple[str, ...] = ()
    length: float | None = None
    strength: float | None = None
    user_mass: float | None = None
    size: str = ""
    type_strength: float | None = None
    type_user_mass: float | None = None

    def part(self, number: int) -> str:
        """What piece ``number``, from 0, is called in the rig."""
        return self.parts[number] if number < len(self.parts) else ""


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why an item of the right type can't serve a need: what it lacks, what it has, what is asked."""

    what: Literal["size", "length", "strength", "user mass"]
    has: float | str | None
    asked: float | str

    def told(self, units: Units = "both") -> str:
        """In words."""
        if isinstance(self.asked, str) or isinstance(self.has, str):
            return f"is {f'size {self.has}' if self.has else 'of no stated size'}, {self.asked} is asked"
        show = {"length": show_length, "strength": show_force, "user mass": show_mass}[self.what]
        asked = show(self.asked, units)
        if self.has is None:
            known = "user limit" if self.what == "user mass" else self.what
            return f"its {known} is not on record, {asked} is asked"
        verb = {"length": "is", "strength": "bears", "user mass": "is rated for"}[self.what]
        long = " long" if self.what == "length" else ""
        return f"{verb} {show(self.has, units)}{long}, {asked} is asked"


def misfit(need: Need, item: Item) -> Misfit | None:
    """Why an item of the need's type can't serve it; None where it can. Whether it may be used that day is
    another question.
    """
    if need.size and need.size.casefold() != item.size.casefold():
        return Misfit("size", item.size, need.size)
    if need.length is not None and (item.length is None or item.length < need.length - WRITTEN):
        return Misfit("length", item.length, need.length)
    bears = need.type_strength if item.strength is None else item.strength
    if need.strength is not None and (bears is None or bears < need.strength * (1 - SAME)):
        return Misfit("strength", bears, need.strength)
    takes = need.type_user_mass if item.user_mass is None else item.user_mass
    if need.user_mass is not None and (takes is None or takes < need.user_mass * (1 - SAME)):
        return Misfit("user mass", takes, need.user_mass)
    return None


def fits(need: Need, item: Item) -> bool:
    """Whether an item can serve a need: its type, its length and its ratings."""
    return item.type == need.type and misfit(need, item) is None


def times(needs: Iterable[Need], line: int, name: str, count: int) -> tuple[Need, ...]:
    """The needs of one rig for every copy of a line of a plan."""
    whole = tuple(needs)
    called = [f"{name} no. {k}" if count > 1 else name for k in range(1, count + 1)]
    return tuple(
        replace(need, unit=Unit(line, k, called[k - 1])) for k in range(1, count + 1) for need in whole
    )
