"""What a rig needs from the cache, part by part, and which items would serve."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils import timezone

from ropewright.allotting.demand import WRITTEN
from ropewright.judgement.components import joins_of
from ropewright.web.gear.intervals import age_of
from ropewright.web.gear.kinds import kinds
from ropewright.web.gear.models import Item
from ropewright.web.gear.refusals import IssueError
from ropewright.web.gear.usable import on_the_rig, usable
from ropewright.web.rigs.models import RigVersion
from ropewright.web.shown import shown
from ropewright.web.workings.engine import read_for_team

__all__ = ["Choice", "Part", "Proposal", "check_parts", "parts_of", "propose"]


@dataclass(frozen=True, slots=True)
class Part:
    """A thing that the rig needs: what it is called there, its type, and how long it has to be [m]."""

    name: str
    type: str
    length: float | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """An item that may serve, and how a list calls it."""

    item: Item
    words: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """A part with the items that may serve as it, best first; ``first`` is what is proposed, if anything."""

    part: Part
    choices: tuple[Choice, ...]
    first: Item | None


def parts_of(version: RigVersion) -> list[Part]:
    """Every part of a rig that comes from the cache: ropes, gear, joins, what is worn, edge protection.

    Errors: RigFileError where the rig's text can't be used.
    """
    rig = read_for_team(version.text)
    found = [Part(rope.name, rope.type, rope.length) for rope in rig.ropes.values()]
    for item in rig.gear.values():
        found.append(Part(item.name, item.type))
        joins = joins_of(rig, item.name)
        for number, join in enumerate(joins, 1):
            found.append(
                Part(f"join {number} of {item.name}" if len(joins) > 1 else f"join of {item.name}", join)
            )
    found += [Part(f"worn by {load.name}", load.wears) for load in rig.loads.values() if load.wears]
    guards = [(place.name, place.protection) for place in rig.points.values() if place.protection]
    found += [Part(f"protection at {name}", guard) for name, guard in guards]
    return [part for part in found if part.type in kinds()]


def propose(parts: Sequence[Part]) -> list[Proposal]:
    """Items for the parts, each proposed once: the shortest rope that is long enough; never front-line gear,
    and never what is past its years, though both may be chosen.
    """
    stock: dict[str, list[Choice]] = {}
    for item in (
        usable()
        .filter(type__in={part.type for part in parts})
        .select_related("kit")
        .order_by("length", "mark")
    ):
        stock.setdefault(item.type, []).append(Choice(item, _words(item)))
    taken: set[int] = set()
    found = []
    for part in parts:
        fitting = tuple(choice for choice in stock.get(part.type, ()) if _fits(choice.item, part))
        free = (choice.item for choice in fitting if choice.item.pk not in taken)
        first = next((item for item in free if not _kept_back(item)), None)
        if first is not None:
            taken.add(first.pk)
        found.append(Proposal(part, fitting, first))
    return found


def check_parts(chosen: Iterable[tuple[Part, int]]) -> None:
    """Refuse items that can't be the parts that they were chosen for. Errors: IssueError with every one."""
    picked = list(chosen)
    items = Item.objects.in_bulk([key for _, key in picked])
    faults = [
        f"{items[key].mark} can't be {part.name}: {_asked(part)} is asked. Where the rig was changed since "
        "this page was opened, its parts are others now: open it anew"
        for part, key in picked
        if key in items and not _fits(items[key], part)
    ]
    if faults:
        raise IssueError(*faults)


def _asked(part: Part) -> str:
    return f"{part.type} of {shown(part.length, 'length')} or more" if part.length else part.type


def _fits(item: Item, part: Part) -> bool:
    """Whether an item is of the type, and long enough; one whose length nobody stated is not."""
    if item.type != part.type:
        return False
    return part.length is None or (item.length is not None and item.length >= part.length - WRITTEN)


def _words(item: Item) -> str:
    parts = [item.mark, shown(item.length, "length") if item.length else "", item.size]
    return ", ".join(part for part in parts if part) + (" (front line)" if on_the_rig(item) else "")


def _kept_back(item: Item) -> bool:
    age = age_of(item, timezone.localdate())
    return on_the_rig(item) or bool(age and age.over)
