"""How often an item is inspected and how long a textile lasts, by the team's policy."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q

from ropewright.web.gear.kinds import kind_of
from ropewright.web.gear.models import Item
from ropewright.web.policy.now import rules_now

__all__ = ["LIFE", "Age", "Interval", "age_of", "interval_for", "known_since", "over_age"]

LIFE = "textile-life"


@dataclass(frozen=True, slots=True)
class Interval:
    """A number of days, and where the policy has it from."""

    days: int
    source: str


@dataclass(frozen=True, slots=True)
class Age:
    """How a textile stands to the policy's limit; ``ends`` is None where ``words`` say why."""

    over: bool
    known: bool
    ends: date | None
    words: str
    source: str = ""


def _stated(key: str) -> Interval | None:
    found = rules_now().intervals.get(key)
    days = found.get("days") if found else None
    if found is None or isinstance(days, bool) or not isinstance(days, int) or not 0 < days < 36_600:
        return None
    return Interval(days, str(found.get("source", "")))


def interval_for(type_name: str) -> Interval | None:
    """The policy's interval between inspections: for the type, its checklist, else its family; or None."""
    kind = kind_of(type_name)
    keys = dict.fromkeys((kind.name, kind.checklist, kind.family))
    return next((found for key in keys if (found := _stated(key))), None)


def known_since(item: Item) -> date | None:
    """The day from which an item's age is counted; None where none is known."""
    return item.made or item.bought or item.first_used


def age_of(item: Item, today: date) -> Age | None:
    """How old a textile is against the policy's limit; None for what is no textile."""
    if not item.textile:
        return None
    limit = _stated(LIFE)
    if limit is None:
        return Age(False, False, None, "the policy states no limit for the age of textiles")
    since = known_since(item)
    if since is None:
        return Age(False, False, None, "its age can't be told: no date of making is known", limit.source)
    ends = since + timedelta(days=limit.days)
    over = ends < today
    words = f"{'outside' if over else 'within'} policy: its years {'ended' if over else 'end'} on {ends}"
    if item.made is None:
        words += ", counted from when it was bought or first used: when it was made is not known"
    return Age(over, item.made is not None, ends, words, limit.source)


def over_age(today: date) -> Q:
    """Textiles past the policy's limit; nothing where the policy states none."""
    limit = _stated(LIFE)
    if limit is None:
        return Q(pk__in=())
    last = today - timedelta(days=limit.days)
    by_made = Q(made__lt=last)
    by_bought = Q(made=None, bought__lt=last)
    by_use = Q(made=None, bought=None, first_used__lt=last)
    return Q(textile=True) & (by_made | by_bought | by_use)
