"""What was given out for a plan, and which of it may no longer be used."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from ropewright.web.gear.models import Event, Issue, IssuedItem, Item, StateChange
from ropewright.web.planning.models import Plan

__all__ = ["Gone", "Lot", "lots_of"]

_OUT_OF_USE = (Item.State.QUARANTINED, Item.State.RETIRED)


@dataclass(frozen=True, slots=True)
class Gone:
    """Items of a lot that went out of use together: how, since which day, and by which event or why."""

    state: str
    since: date | None
    event: Event | None
    reason: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Lot:
    """One issue of a plan; ``gone``: what of it went out of use since, one for each cause."""

    issue: Issue
    gone: tuple[Gone, ...] = ()

    @property
    def told(self) -> str:
        """How many of it are out of use, for a mark."""
        counts: dict[str, int] = defaultdict(int)
        for gone in self.gone:
            counts[gone.state] += len(gone.marks)
        return ", ".join(f"{count} {state}" for state, count in counts.items())


def lots_of(plan: Plan) -> tuple[Lot, ...]:
    """Every lot of a plan, in three queries at most, whatever their number."""
    issues = list(plan.issues.all())
    if not issues:
        return ()
    lines = list(
        IssuedItem.objects.filter(issue__in=issues, item__state__in=_OUT_OF_USE).select_related("item")
    )
    why = _changes({line.item_id for line in lines}) if lines else {}
    return tuple(
        Lot(issue, _gone([line.item for line in lines if line.issue_id == issue.pk], why)) for issue in issues
    )


def _changes(items: Collection[int]) -> dict[int, StateChange]:
    """Why each item is out of use: of the changes since it was last in use, the newest by an event, else the
    newest.
    """
    stretch: dict[int, list[StateChange]] = defaultdict(list)
    ended = set[int]()
    for change in (
        StateChange.objects.filter(item__in=items).select_related("event").order_by("item", "-at", "-pk")
    ):
        if change.after not in _OUT_OF_USE:
            ended.add(change.item_id)
        elif change.item_id not in ended:
            stretch[change.item_id].append(change)
    return {
        item: next((one for one in changes if one.event_id), changes[0]) for item, changes in stretch.items()
    }


def _gone(items: Sequence[Item], why: dict[int, StateChange]) -> tuple[Gone, ...]:
    alike: dict[tuple[str, date | None, int | None, str], list[str]] = defaultdict(list)
    events: dict[int | None, Event | None] = {None: None}
    for item in items:
        change = why.get(item.pk)
        event = change.event if change else None
        key = None if event is None else event.pk
        events[key] = event
        since = timezone.localdate(change.at) if change else None
        reason = "" if event else item.reason or "no reason on record"
        alike[Item.State(item.state).label, since, key, reason].append(item.mark)
    return tuple(
        Gone(str(state), since, events[key], reason, tuple(marks))
        for (state, since, key, reason), marks in alike.items()
    )
