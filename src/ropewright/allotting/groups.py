"""Needs that the same items can serve, taken together, and items that are alike in all that counts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from ropewright.allotting.demand import Need, Unit, fits
from ropewright.allotting.stock import Item, Reserve

__all__ = ["FAR", "INSPECTED", "Group", "Wanted", "days_left", "groups_of", "wanted_of"]

FAR = 3650
"""Days after which one date is as late as another."""
AWAY = FAR + 1
"""Days that an item which is still away counts more: it is used after all that are at hand."""
INSPECTED = FAR + AWAY + 1
"""What counts for an item that is taken as inspected by the day: it is used after all others."""
_NOWHERE = Unit(-1)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Pieces, in any rigs, that the same items can serve and that ask for the same length.

    ``needs``: the numbers of the needs; ``like`` stands for all of them. ``stays``: it is what stays on the
    rig, which only the front line serves.
    """

    needs: tuple[int, ...]
    count: int
    like: Need
    stays: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Items that may take each other's place, with the numbers of the wants that they serve, and the days
    to the date of each.
    """

    items: tuple[Item, ...]
    serves: tuple[int, ...]
    days: int = 0

    @property
    def like(self) -> Item:
        """One of them."""
        return self.items[0]


def wanted_of(
    needs: Sequence[Need], stock: Iterable[Item], reserve: Sequence[Reserve] = ()
) -> tuple[Wanted, ...]:
    """What is wanted, in the order in which it is asked for; what stays on the rig comes last."""
    kinds: dict[str, list[Item]] = defaultdict(list)
    for item in {(i.type, i.length, i.strength, i.user_mass, i.size): i for i in stock}.values():
        kinds[item.type].append(item)
    serving: dict[Need, frozenset[Item]] = {}
    members: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for k, need in enumerate(needs):
        asked = replace(need, unit=_NOWHERE, count=1, parts=())
        if asked not in serving:
            serving[asked] = frozenset(map(_kind, (item for item in kinds[need.type] if fits(need, item))))
        members[need.type, need.length, serving[asked]].append(k)
    return (
        *(Wanted(tuple(ids), sum(needs[k].count for k in ids), needs[ids[0]]) for ids in members.values()),
        *(
            Wanted((), kept.count, Need(_NOWHERE, kept.type, kept.count, (), kept.length), stays=True)
            for kept in reserve
        ),
    )


def days_left(item: Item, day: date) -> int:
    """Days from the day to the date until which an item's inspection holds; of one that is away still, more
    than of any at hand.
    """
    if item.due is None or item.due < day:
        return INSPECTED
    return min(FAR, (item.due - day).days) + (AWAY if item.away else 0)


def groups_of(wanted: Sequence[Wanted], stock: Iterable[Item], day: date) -> tuple[Group, ...]:
    """The items that serve anything, in groups of the same kit, date, length and standing.

    Of items that differ in their date alone, the soonest due are enough: as many as could ever be used.
    """
    by_type: Mapping[str, list[int]] = defaultdict(list)
    for k, one in enumerate(wanted):
        by_type[one.like.type].append(k)
    measured = {one.like.type for one in wanted if one.like.length is not None}
    serves: dict[tuple[object, ...], tuple[int, ...]] = {}
    alike: dict[tuple[str, float, bool, tuple[int, ...]], list[Item]] = defaultdict(list)
    for item in stock:
        kind = (item.type, item.length, item.strength, item.user_mass, item.size, item.front_line)
        mine = serves.get(kind)
        if mine is None:
            mine = serves[kind] = tuple(k for k in by_type[item.type] if _may(wanted[k], item))
        if mine:
            length = (item.length or 0.0) if item.type in measured else 0.0
            alike[item.kit, length, item.front_line, mine].append(item)
    out = []
    for key, found in sorted(alike.items()):
        enough = sum(wanted[k].count for k in key[-1])
        by_date: dict[int, list[Item]] = defaultdict(list)
        soonest = sorted(((days_left(i, day), i.mark, i) for i in found), key=lambda one: one[:2])
        for days, _, item in soonest[:enough]:
            by_date[days].append(item)
        out += [Group(tuple(items), key[-1], days) for days, items in by_date.items()]
    return tuple(out)


def _may(one: Wanted, item: Item) -> bool:
    return fits(one.like, item) and (item.front_line or not one.stays)


def _kind(item: Item) -> Item:
    """An item without what makes no difference to whether it fits."""
    return Item("", item.type, item.length, item.strength, item.user_mass, item.size)
