"""Gear for tests."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.gear.inspections import Look, Seen
from ropewright.web.gear.kinds import checklist_of
from ropewright.web.gear.models import Item
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


def _item(mark: Any, _author: Account) -> Any:
    return make_item(mark).pk


MAKERS: dict[str, Maker] = {"item": _item}
