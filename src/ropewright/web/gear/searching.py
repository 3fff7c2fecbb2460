"""What a list of items is narrowed to and how it is ordered, from the words of its address."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Count, F, Q, QuerySet
from django.db.models.expressions import OrderBy
from django.utils import timezone

from ropewright.web.gear.intervals import over_age
from ropewright.web.gear.kinds import families, kinds, types_of_family
from ropewright.web.gear.models import Item
from ropewright.web.gear.usable import due, front_line

__all__ = ["ORDERS", "SHOWN", "Counts", "Search", "counts", "found", "read_search"]

# What is shown, by state: the word of the address, and the label.
SHOWN: Mapping[str, str] = {
    "": "all but retired",
    "ready": "in service, not due",
    "due": "due",
    "issued": "issued",
    "quarantined": "quarantined",
    "retired": "retired",
    "aged": "past the policy's years",
    "every": "every item, retired too",
}
ORDERS: Mapping[str, str] = {
    "mark": "mark",
    "type": "type",
    "state": "state",
    "due": "next due",
    "made": "made",
    "place": "place",
}


@dataclass(frozen=True, slots=True)
class Search:
    """A search: words, and what each filter is set to; an unknown setting counts as none."""

    words: str = ""
    shown: str = ""
    kind: str = ""
    place: str = ""
    kit: str = ""
    standard: str = ""
    line: str = ""
    order: str = "mark"

    @property
    def narrowed(self) -> bool:
        """Whether anything is left out that the plain list has."""
        return self != Search(order=self.order)


def read_search(query: Mapping[str, str]) -> Search:
    """Read a search from an address."""

    def word(key: str) -> str:
        return query.get(key, "").replace("\x00", "")[:80].strip()

    shown, order, kind = word("shown"), word("order"), word("kind")
    return Search(
        words=word("words"),
        shown=shown if shown in SHOWN else "",
        kind=kind if kind in kinds() or kind in families() else "",
        place=word("place") if word("place").isdecimal() and len(word("place")) < 12 else "",
        kit=word("kit") if word("kit").isdecimal() and len(word("kit")) < 12 else "",
        standard=word("standard"),
        line="front" if word("line") == "front" else "",
        order=order if order in ORDERS else "mark",
    )


def found(search: Search) -> QuerySet[Item]:
    """The items of a search, in its order, with what a list shows of them."""
    items = Item.objects.select_related("kit", "place").filter(_shown(search.shown))
    for word in search.words.split()[:6]:
        items = items.filter(
            Q(mark__icontains=word)
            | Q(type__icontains=word)
            | Q(name__icontains=word)
            | Q(serial__icontains=word)
            | Q(kit__name__icontains=word)
            | Q(place__name__icontains=word)
        )
    if search.kind in families():
        items = items.filter(type__in=types_of_family(search.kind))
    elif search.kind:
        items = items.filter(type=search.kind)
    if search.place:
        items = items.filter(place=int(search.place))
    if search.kit:
        items = items.filter(kit=int(search.kit))
    if search.standard:
        items = items.filter(standard=search.standard)
    if search.line:
        items = items.filter(front_line())
    return items.order_by(*_order(search.order), "mark")


def _shown(word: str) -> Q:
    if word == "ready":
        return Q(state=Item.State.IN_SERVICE) & ~due()
    if word == "due":
        return due()
    if word == "aged":
        return over_age(timezone.localdate()) & ~Q(state=Item.State.RETIRED)
    if word in Item.State.values:
        return Q(state=word)
    return Q() if word == "every" else ~Q(state=Item.State.RETIRED)


def _order(word: str) -> tuple[str | OrderBy, ...]:
    if word == "due":
        return (F("next_due").asc(nulls_first=True),)
    if word == "made":
        return (F("made").asc(nulls_first=True),)
    if word == "place":
        return (F("place__name").asc(nulls_last=True), "kit__name")
    return () if word == "mark" else (word,)


@dataclass(frozen=True, slots=True)
class Counts:
    """How many items are in each state."""

    ready: int
    due: int
    issued: int
    quarantined: int
    retired: int


def counts() -> Counts:
    """Count the cache by state; what is due and out counts as due and as issued."""
    ready = Q(state=Item.State.IN_SERVICE) & ~due()
    return Counts(
        **Item.objects.aggregate(
            ready=Count("pk", filter=ready),
            due=Count("pk", filter=due()),
            issued=Count("pk", filter=Q(state=Item.State.ISSUED)),
            quarantined=Count("pk", filter=Q(state=Item.State.QUARANTINED)),
            retired=Count("pk", filter=Q(state=Item.State.RETIRED)),
        )
    )
