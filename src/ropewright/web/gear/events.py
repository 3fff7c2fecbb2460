"""An event in use: every item that was there is quarantined at once, and only inspections clear them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from ropewright.web.accounts.models import Account
from ropewright.web.gear import states
from ropewright.web.gear.models import Event, EventItem, Inspection, Issue, Item, StateChange
from ropewright.web.gear.refusals import EventError

__all__ = ["Happened", "Outcome", "involved", "outcomes", "report"]


@dataclass(frozen=True, slots=True)
class Happened:
    """What happened, on which day."""

    kind: str
    day: date
    text: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """An item of an event: its state as that was reported, and the inspection that cleared it, if any."""

    item: Item
    before: str
    cleared: Inspection | None

    @property
    def stayed_retired(self) -> bool:
        """Whether it was out of use for good already."""
        return self.before == Item.State.RETIRED


def involved(issue: Issue | None, chosen: Sequence[int] = ()) -> list[Item]:
    """Every item that was in an issue, given back or not, and any that were chosen besides."""
    keys = set(chosen)
    if issue is not None:
        keys |= set(issue.lines.values_list("item_id", flat=True))
    return list(Item.objects.filter(pk__in=keys).select_related("kit", "place").order_by("mark"))


@transaction.atomic
def report(
    happened: Happened, by: Account, *, issue: Issue | None = None, chosen: Sequence[int] = ()
) -> Event:
    """Keep the event and quarantine all that was there, in one piece.

    What was retired already stays so and is listed. What was given out for the same use after the list was
    shown is taken in too: the issue is locked first, so nothing slips in between. Errors: EventError.
    """
    if issue is not None:
        issue = Issue.objects.select_for_update().get(pk=issue.pk)
    keys = sorted(item.pk for item in involved(issue, chosen))
    if not keys:
        raise EventError("no item was there; choose the use that it happened in, or the items")
    items = states.lock(*keys)
    late = [item for item in items if item.made and item.made > happened.day]
    if late:
        raise EventError(f"{late[0].mark} was made on {late[0].made}, after the event")
    event = Event.objects.create(
        kind=happened.kind, day=happened.day, text=happened.text, issue=issue, reported_by=by
    )
    EventItem.objects.bulk_create(EventItem(event=event, item=item, before=item.state) for item in items)
    reason = f"in an event on {happened.day}: {Event.Kind(happened.kind).label}"
    for item in items:
        if item.state != Item.State.RETIRED:
            states.quarantine(item.pk, reason, by, event=event)
    return event


def outcomes(event: Event) -> list[Outcome]:
    """Every item of an event with what became of it."""
    lines = list(event.lines.select_related("item__kit", "item__place"))
    since = {
        change.item_id: change.pk for change in StateChange.objects.filter(event=event).only("pk", "item_id")
    }
    cleared: dict[int, Inspection] = {}
    changes = StateChange.objects.filter(
        item__in=since, before=Item.State.QUARANTINED, inspection__isnull=False
    ).exclude(after__in=(Item.State.QUARANTINED, Item.State.RETIRED))
    for change in changes.select_related("inspection").order_by("-pk"):
        if change.pk > since[change.item_id] and change.inspection:
            cleared[change.item_id] = change.inspection
    return [Outcome(line.item, line.before, cleared.get(line.item_id)) for line in lines]
