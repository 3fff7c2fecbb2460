"""What is due for inspection: overdue, soon, never looked at, quarantined and waiting."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet

from ropewright.web.gear.intervals import over_age
from ropewright.web.gear.models import Item

__all__ = ["Part", "due_list", "upcoming"]

SHOWN = 40
"""How many items of each part the page shows, until somebody asks for all."""
_IN_USE = (Item.State.IN_SERVICE, Item.State.ISSUED)


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the list: its heading, its items, and what is said where it has none."""

    heading: str
    found: list[Item]
    none: str
    most: int | None

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.found)

    @property
    def items(self) -> list[Item]:
        """Those that are shown."""
        return self.found[: self.most]

    @property
    def left(self) -> int:
        """How many are not shown."""
        return self.count - len(self.items)


def due_list(today: date, most: int | None = SHOWN) -> list[Part]:
    """Everything that wants an inspection within a quarter of a year of today, most pressing first.

    most: how many of each part are shown; None shows all.
    """
    days = {n: today + timedelta(days=n) for n in (30, 90)}
    soon = list(_listed().filter(state__in=_IN_USE, next_due__lte=days[90]).order_by("next_due", "mark"))
    overdue = [item for item in soon if item.next_due and item.next_due < today]
    month = [item for item in soon if item.next_due and today <= item.next_due <= days[30]]
    quarter = [item for item in soon if item.next_due and days[30] < item.next_due]
    never = list(_listed().filter(state__in=_IN_USE, next_due=None))
    held = list(_listed().filter(state=Item.State.QUARANTINED))
    aged = list(_listed().filter(over_age(today)).exclude(state=Item.State.RETIRED))
    return [
        Part("Overdue", overdue, "Nothing is overdue.", most),
        Part("Never inspected", never, "Everything in use has been inspected.", most),
        Part("Within 30 days", month, "Nothing.", most),
        Part("Within 90 days", quarter, "Nothing more.", most),
        Part("Quarantined, until an inspection clears it", held, "Nothing is quarantined.", most),
        Part("Past the policy's years", aged, "Nothing.", most),
    ]


def upcoming() -> QuerySet[Item]:
    """Items in use with a day on which they are due, in the order of the days."""
    return _listed().filter(state__in=_IN_USE, next_due__isnull=False).order_by("next_due", "mark")


def _listed() -> QuerySet[Item]:
    return Item.objects.select_related("kit", "place").order_by("mark")
