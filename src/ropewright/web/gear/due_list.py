"""What is due for inspection: overdue, soon, never looked at, quarantined and waiting."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet

from ropewright.web.gear.intervals import over_age
from ropewright.web.gear.models import Item

__all__ = ["Part", "due_list", "upcoming"]

SHOWN = 25
"""How many items of each part the page shows, until somebody asks for all."""
_IN_USE = (Item.State.IN_SERVICE, Item.State.ISSUED)


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the list: its heading, the items that are shown, how many there are, what is said of none."""

    heading: str
    items: list[Item]
    count: int
    none: str

    @property
    def left(self) -> int:
        """How many are not shown."""
        return self.count - len(self.items)


def due_list(today: date, most: int | None = SHOWN) -> list[Part]:
    """Everything that wants an inspection within a quarter of a year of today, most pressing first.

    most: how many of each part are shown; None shows all.
    """
    days = {n: today + timedelta(days=n) for n in (30, 90)}
    dated, listed = upcoming(), _listed()
    parts = (
        ("Overdue", dated.filter(next_due__lt=today), "Nothing is overdue."),
        (
            "Never inspected",
            listed.filter(state__in=_IN_USE, next_due=None),
            "Everything in use has been inspected.",
        ),
        ("Within 30 days", dated.filter(next_due__gte=today, next_due__lte=days[30]), "Nothing."),
        ("Within 90 days", dated.filter(next_due__gt=days[30], next_due__lte=days[90]), "Nothing more."),
        (
            "Quarantined, until an inspection clears it",
            listed.filter(state=Item.State.QUARANTINED),
            "Nothing is quarantined.",
        ),
        ("Past the policy's years", _aged(today), "Nothing."),
    )
    return [_part(heading, found, none, most) for heading, found, none in parts]


def _aged(today: date) -> QuerySet[Item]:
    return _listed().filter(over_age(today)).exclude(state=Item.State.RETIRED)


def _part(heading: str, found: QuerySet[Item], none: str, most: int | None) -> Part:
    items = list(found[:most])
    return Part(heading, items, found.count() if len(items) == most else len(items), none)


def upcoming() -> QuerySet[Item]:
    """Items in use with a day on which they are due, in the order of the days."""
    return _listed().filter(state__in=_IN_USE, next_due__isnull=False).order_by("next_due", "mark")


def _listed() -> QuerySet[Item]:
    return Item.objects.select_related("kit", "place").order_by("mark")
