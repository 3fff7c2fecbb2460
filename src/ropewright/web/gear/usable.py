"""Which items may be used, and which are due: the questions that lists, proposals and plans ask the store."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.utils import timezone

from ropewright.allotting.demand import WRITTEN
from ropewright.web.gear.models import Item
from ropewright.web.policy.now import rules_now

__all__ = ["Short", "due", "front_line", "on_the_rig", "short_of_reserve", "usable"]


def due() -> Q:
    """In service or out, and its inspection is due: its day has passed, or nobody ever set one."""
    in_use = Q(state__in=(Item.State.IN_SERVICE, Item.State.ISSUED))
    return in_use & (Q(next_due=None) | Q(next_due__lt=timezone.localdate()))


def usable() -> QuerySet[Item]:
    """The items that may be given out today: in service, in the store, and inspected in time."""
    return Item.objects.filter(state=Item.State.IN_SERVICE, next_due__gte=timezone.localdate())


def front_line() -> Q:
    """On the rig: the item itself counts to the reserve, or its kit is a front-line kit."""
    return Q(front_line=True) | Q(kit__front_line=True)


def on_the_rig(item: Item) -> bool:
    """Whether an item is front-line gear."""
    return item.front_line or bool(item.kit and item.kit.front_line)


@dataclass(frozen=True, slots=True)
class Short:
    """A part of the front-line reserve that would be short: what it is, how many stay, how many should."""

    type: str
    length: float | None
    stays: int
    should: int


def short_of_reserve(taken: Collection[int]) -> list[Short]:
    """What of the policy's reserve would be short if these items left the store."""
    found = []
    for entry in rules_now().reserve:
        length, should = entry.get("length"), int(entry.get("count", 0))
        kept = usable().filter(front_line(), type=str(entry.get("type", "")))
        if length:
            kept = kept.filter(length__gte=float(length) - WRITTEN)
        here = set(kept.values_list("pk", flat=True))
        stays = len(here - set(taken))
        if here & set(taken) and stays < should:
            found.append(Short(str(entry["type"]), float(length) if length else None, stays, should))
    return found
