"""What people must have before they train, and how long it still holds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from ropewright.web.people.models import Prerequisite

__all__ = ["SOON", "Standing", "in_force", "running_out", "standing", "standings"]

SOON = 60
"""Days before the expiry from which it is told."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How something that expires stands today: a mark's own word, and words for people."""

    mark: str
    words: str
    prerequisite: Prerequisite


def standing(found: Prerequisite, today: date, replaced: bool = False) -> Standing:
    """How one of them stands on a day."""
    if replaced:
        return Standing("replaced", "replaced by a later one", found)
    if found.expires is None:
        return Standing("current", "current, no date of expiry", found)
    days = (found.expires - today).days
    if days < 0:
        return Standing("expired", f"expired {-days} day{'s' if days < -1 else ''} ago", found)
    if days <= SOON:
        when = "expires today" if days == 0 else f"expires in {days} day{'s' if days > 1 else ''}"
        return Standing("due", when, found)
    return Standing("current", "current", found)


def standings(found: Iterable[Prerequisite], today: date | None = None) -> list[Standing]:
    """How somebody's prerequisites stand: of one kind, the one that holds longest counts."""
    today = today or timezone.localdate()
    latest: dict[str, Prerequisite] = {}
    all_of = list(found)
    for each in all_of:
        best = latest.get(each.kind)
        if best is None or (
            best.expires is not None and (each.expires is None or each.expires > best.expires)
        ):
            latest[each.kind] = each
    return [standing(each, today, latest[each.kind].pk != each.pk) for each in all_of]


def in_force() -> QuerySet[Prerequisite]:
    """Prerequisites of active people that no later one of the same kind replaces."""
    later = Prerequisite.objects.filter(person=OuterRef("person"), kind=OuterRef("kind")).filter(
        Q(expires__gt=OuterRef("expires")) | Q(expires=None)
    )
    return Prerequisite.objects.filter(person__active=True).exclude(Exists(later) & Q(expires__isnull=False))


def running_out(today: date | None = None, days: int = SOON) -> QuerySet[Prerequisite]:
    """What has expired or will within some days, the most pressing first."""
    until = (today or timezone.localdate()) + timedelta(days=days)
    return in_force().filter(expires__lte=until).select_related("person").order_by("expires", "person__name")
