"""Gear for tests."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.gear import events, issues
from ropewright.web.gear.inspections import Look, Seen, record
from ropewright.web.gear.kinds import checklist_of
from ropewright.web.gear.models import Item, Kit, Place
from ropewright.web.gear.uses import UseLine, log
from tests.web.documents.things import DOCUMENT_MAKERS
from tests.web.things import Maker

__all__ = ["MAKERS", "good_look", "make_item", "ready_item"]


def make_item(mark: str, **known: Any) -> Item:
    """An item with a mark, made where there is none: a locking carabiner, unless told otherwise."""
    found, _made = Item.objects.get_or_create(mark=mark, defaults={"type": "carabiner-locking", **known})
    return found


def ready_item(mark: str, **known: Any) -> Item:
    """An item that may be used: inspected, and not due for a year."""
    today = timezone.localdate()
    return make_item(mark, **{"inspected": today, "next_due": today + timedelta(days=365), **known})


def good_look(item: Item, *, day: date | None = None, **other: Any) -> Look:
    """A detailed inspection that finds every point good."""
    day = day or timezone.localdate()
    seen = [Seen(point.point, "good") for point in checklist_of(item.type)]
    known = {"level": "detailed", "verdict": "fit", "inspector": "R. Custodian", "seen": seen}
    return Look(day=day, **{"next_due": day + timedelta(days=90), **known, **other})


def _issue(mark: Any, author: Account) -> int:
    return issues.give_out(
        issues.Purpose("drill"), [issues.Line(ready_item(f"{mark} {author}").pk)], author
    ).pk


def _use(mark: Any, author: Account) -> int:
    return log([make_item(mark).pk], UseLine(timezone.localdate(), "drill"), author)[0].pk


def _inspection(mark: Any, author: Account) -> int:
    item = make_item(mark)
    return record(item.pk, good_look(item), author).pk


def _event(mark: Any, author: Account) -> int:
    happened = events.Happened("fall", timezone.localdate(), "ran four feet")
    return events.report(happened, author, chosen=[make_item(mark).pk]).pk


MAKERS: dict[str, Maker] = {
    "item": lambda mark, _author: make_item(mark).pk,
    "issue": _issue,
    "use": _use,
    "inspection": _inspection,
    "event": _event,
    "place": lambda name, _author: Place.objects.get_or_create(name=name)[0].pk,
    "kit": lambda name, _author: Kit.objects.get_or_create(name=name)[0].pk,
    **DOCUMENT_MAKERS,
}
