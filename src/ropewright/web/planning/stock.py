"""The cache as the allotment takes it: what the store says at this moment of items on a plan's day."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from ropewright.allotting import Item
from ropewright.web.gear.models import IssuedItem
from ropewright.web.gear.models import Item as StoredItem
from ropewright.web.workings.results import digest

__all__ = ["Cache", "cache_of"]

_FIELDS = (
    "mark", "type", "length", "strength", "user_mass", "size", "kit__name", "next_due", "front_line",
    "kit__front_line", "state", "reason", "pk",
)  # fmt: skip
_STATE = StoredItem.State


@dataclass(frozen=True, slots=True)
class Cache:
    """The items, their keys in the store by mark, those that are out now and wanted back before the day (with
    that date), and those that are out for the plan itself. ``digest``: one word for all the items.
    """

    items: tuple[Item, ...]
    keys: dict[str, int]
    back: dict[str, date]
    here: frozenset[str]
    digest: str


def cache_of(types: Collection[str], day: date, own_issues: Collection[int]) -> Cache:
    """Every item of some types that is not retired, in three queries at most.

    What is out for the plan itself counts as at hand; what is out for another use counts if it is wanted back
    before the day and is not late already.
    """
    rows = list(StoredItem.objects.filter(type__in=types).exclude(state=_STATE.RETIRED).values_list(*_FIELDS))
    out = _out(types) if any(row[10] == _STATE.ISSUED for row in rows) else {}
    today = timezone.localdate()
    items, keys, back, here = list[Item](), dict[str, int](), dict[str, date](), set[str]()
    written = list[tuple[object, ...]]()
    for mark, kind, length, strength, mass, size, kit, due, front, kit_front, state, why, key in rows:
        reason = ""
        if state == _STATE.QUARANTINED:
            reason = f"quarantined: {why}" if why else "quarantined"
        elif state == _STATE.ISSUED:
            issue, what, until = out.get(key, (0, "", None))
            if issue in own_issues:
                here.add(mark)
            elif until is not None and today <= until < day:
                back[mark] = until
            else:
                when = f", wanted back {until}" if until else ""
                reason = f"out{f' for {what}' if what else ''}{when}"
        ready = bool(front or kit_front)
        words = (mark, kind, length, strength, mass, size, kit or "", due, ready, reason, mark in back)
        written.append(words)
        items.append(Item(*words))
        keys[mark] = key
    return Cache(tuple(items), keys, back, frozenset(here), digest(written))


def _out(types: Collection[str]) -> dict[int, tuple[int, str, date | None]]:
    """What is out, by the item's key: the issue, what for, and when it is wanted back."""
    rows = IssuedItem.objects.filter(back=None, item__type__in=types).values_list(
        "item_id", "issue_id", "issue__what", "issue__until"
    )
    return {item: (issue, what, until) for item, issue, what, until in rows}
