"""Today's state of the team: what it has, and what wants doing, each with the page that does it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Q
from django.urls import reverse

from ropewright.web.access import allowed
from ropewright.web.accounts.models import Account
from ropewright.web.gear.models import Issue, Item
from ropewright.web.gear.usable import due
from ropewright.web.people.expiry import running_out
from ropewright.web.people.models import Person
from ropewright.web.planning.models import Plan
from ropewright.web.procedures.models import Procedure
from ropewright.web.rigs.models import Rig

__all__ = ["Holds", "Wants", "holdings", "wants"]

AHEAD = timedelta(days=14)
"""How far ahead the plans of the next days are told."""


@dataclass(frozen=True, slots=True)
class Holds:
    """Something that the team has: how many, and where they stand."""

    words: str
    count: int
    url: str


@dataclass(frozen=True, slots=True)
class Wants:
    """Something that wants doing: its state as a mark, its words, and the page that does it."""

    state: str
    words: str
    url: str


def holdings(account: Account) -> Iterator[Holds]:
    """How many rigs, procedures, items and people there are, of what this person may see."""
    yield Holds("Rigs", Rig.objects.filter(put_away=None).count(), reverse("rigs:library"))
    yield Holds("Procedures", Procedure.objects.filter(put_away=None).count(), reverse("procedures:library"))
    items = Item.objects.exclude(state=Item.State.RETIRED).count()
    yield Holds("Items of gear", items, reverse("gear:list"))
    if allowed(account, "see people"):
        yield Holds("People", Person.objects.filter(active=True).count(), reverse("people:roster"))


def wants(account: Account, today: date) -> Iterator[Wants]:
    """What wants doing, the gravest first."""
    yield from _gear()
    yield from _out(today)
    if allowed(account, "see plans"):
        for plan in Plan.objects.filter(day__gte=today, day__lte=today + AHEAD).order_by("day")[:6]:
            yield Wants(
                "note", f"{plan.day:%a %d %b}: {plan.title}", reverse("planning:open", args=[plan.pk])
            )
    if allowed(account, "see people"):
        count = running_out(today).count()
        if count:
            words = f"{count} prerequisite{'s' if count > 1 else ''} expired or about to"
            yield Wants("caution", words, reverse("people:running-out"))


def _gear() -> Iterator[Wants]:
    quarantined = Q(state=Item.State.QUARANTINED)
    found = Item.objects.aggregate(quarantined=Count("pk", filter=quarantined), due=Count("pk", filter=due()))
    if found["quarantined"]:
        url = f"{reverse('gear:list')}?state=quarantined"
        yield Wants("quarantined", f"{_items(found['quarantined'])} to be inspected or retired", url)
    if found["due"]:
        yield Wants(
            "due", f"{_items(found['due'])} past the inspection date, or without one", reverse("gear:due")
        )


def _out(today: date) -> Iterator[Wants]:
    late = Issue.objects.filter(closed=None, until__lt=today).count()
    if late:
        yield Wants(
            "caution", f"{late} issue{'s' if late > 1 else ''} of gear not back in time", reverse("gear:out")
        )


def _items(count: int) -> str:
    return f"{count} item{'' if count == 1 else 's'}"
