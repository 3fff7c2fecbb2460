"""The use log: lines are added, never changed; a wrong one is named by the line that corrects it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Count, Max, Min, Q, Sum

from ropewright.web.accounts.models import Account
from ropewright.web.gear.models import Issue, Item, Use
from ropewright.web.gear.refusals import UseError
from ropewright.web.gear.states import lock

__all__ = ["Totals", "UseLine", "correct", "log", "totals"]


@dataclass(frozen=True, slots=True)
class UseLine:
    """What a line says. ``load`` in N; None where nobody knows."""

    day: date
    what: str
    place: str = ""
    hours: float | None = None
    drops: int | None = None
    load: float | None = None
    wet: bool = False
    heat: bool = False
    chemical: bool = False
    exposure: str = ""

    def fields(self) -> dict[str, Any]:
        """As the table keeps it."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class Totals:
    """What the lines that count add up to; a sum is None where no line states its part."""

    lines: int
    hours: float | None
    drops: int | None
    load: float | None
    wet: int
    heat: int
    chemical: int
    first: date | None
    last: date | None


@transaction.atomic
def log(pks: Sequence[int], line: UseLine, by: Account, *, issue: Issue | None = None) -> list[Use]:
    """Add the line to the log of every item. An item without a day of first use gets this one."""
    items = lock(*sorted(pks))
    for item in items:
        _refuse_what_cannot_be(item, line)
    made = Use.objects.bulk_create(
        Use(item=item, issue=issue, entered_by=by, **line.fields()) for item in items
    )
    for item in items:
        if item.first_used is None or line.day < item.first_used:
            item.first_used = line.day
            item.save(update_fields=["first_used"])
    return made


@transaction.atomic
def correct(old: Use, line: UseLine, why: str, by: Account) -> Use:
    """Add a line that counts instead of an older one. Errors: UseError where that was corrected already."""
    (item,) = lock(old.item_id)
    _refuse_what_cannot_be(item, line)
    if Use.objects.filter(corrects=old).exists():
        raise UseError("that line was corrected already; correct the newest one")
    try:
        with transaction.atomic():
            return Use.objects.create(
                item=item, issue=old.issue, corrects=old, why=why, entered_by=by, **line.fields()
            )
    except IntegrityError as error:  # somebody else was quicker
        raise UseError("that line was corrected already; correct the newest one") from error


def totals(items: Sequence[int]) -> Totals:
    """What was done with one item, or with it and what it was cut from."""
    counts = Use.objects.filter(item__in=items, corrected_by=None).aggregate(
        lines=Count("pk"),
        hours=Sum("hours"),
        drops=Sum("drops"),
        load=Max("load"),
        wet=Count("pk", filter=Q(wet=True)),
        heat=Count("pk", filter=Q(heat=True)),
        chemical=Count("pk", filter=Q(chemical=True)),
        first=Min("day"),
        last=Max("day"),
    )
    return Totals(**counts)


def _refuse_what_cannot_be(item: Item, line: UseLine) -> None:
    if item.made and line.day < item.made:
        raise UseError(f"{item.mark} was made on {item.made}; it can't have been used on {line.day}")
    if item.bought and line.day < item.bought:
        raise UseError(f"{item.mark} was bought on {item.bought}; it can't have been used on {line.day}")
