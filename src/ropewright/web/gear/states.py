"""The states of an item and the only ways from one to another; each keeps who, when and why.

Every function locks the item's row before it looks at it, so that of two people who act at once the second
sees what the first did. *Due* is no stored state: see `Item.due`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.gear.models import Event, Finding, Inspection, IssuedItem, Item, StateChange
from ropewright.web.gear.refusals import StateError

__all__ = [
    "FOLLOWS",
    "LEVELS_THAT_CLEAR",
    "LEVELS_THAT_COUNT",
    "Hold",
    "apply_verdict",
    "enter",
    "first_lines",
    "give_back",
    "hold_on",
    "is_out",
    "issue",
    "lock",
    "quarantine",
    "retire",
    "stands_at",
    "why_not_usable",
]

_State, _Level, _Verdict = Item.State, Inspection.Level, Inspection.Verdict

FOLLOWS: Mapping[str, frozenset[str]] = {
    _State.IN_SERVICE: frozenset({_State.ISSUED, _State.QUARANTINED, _State.RETIRED}),
    _State.ISSUED: frozenset({_State.IN_SERVICE, _State.QUARANTINED, _State.RETIRED}),
    _State.QUARANTINED: frozenset({_State.IN_SERVICE, _State.ISSUED, _State.QUARANTINED, _State.RETIRED}),
    _State.RETIRED: frozenset(),
}
"""What may follow a state. Out of quarantine leads an inspection only, to *issued* where the item is still
out; quarantine may be followed by quarantine, for one reason more."""

LEVELS_THAT_COUNT = frozenset({_Level.PERIODIC, _Level.DETAILED, _Level.EVENT})
"""The inspections that set when the next one is due. A look before or after use doesn't."""

LEVELS_THAT_CLEAR = frozenset({_Level.DETAILED, _Level.EVENT})
"""The inspections that can clear an item of an event."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Why an item is quarantined: every reason since it was last out of it, and the first day on which an
    inspection can clear it.
    """

    reasons: tuple[str, ...]
    since: date
    events: tuple[int, ...]


def lock(*pks: int) -> list[Item]:
    """The items, locked until the transaction ends, in one order for all, so that none wait in a ring."""
    found = {item.pk: item for item in Item.objects.select_for_update().filter(pk__in=pks).order_by("pk")}
    missing = [pk for pk in pks if pk not in found]
    if missing:
        raise StateError("an item of those chosen is no longer on record; open the list anew")
    return [found[pk] for pk in dict.fromkeys(pks)]


@transaction.atomic
def enter(item: Item, by: Account, reason: str = "entered", *, quarantined: bool = False) -> Item:
    """Keep a new item, and the first line of its history."""
    item.state = _State.QUARANTINED if quarantined else _State.IN_SERVICE
    item.reason = reason if quarantined else ""
    item.save(force_insert=True)
    StateChange.objects.create(item=item, before="", after=item.state, reason=reason[:300], by=by)
    return item


def first_lines(items: Iterable[tuple[Item, str]], by: Account) -> None:
    """Keep the first line of the history of many new items at once, each with its reason."""
    StateChange.objects.bulk_create(
        StateChange(item=item, before="", after=item.state, reason=(reason or "entered")[:300], by=by)
        for item, reason in items
    )


@transaction.atomic
def quarantine(pk: int, reason: str, by: Account, *, event: Event | None = None) -> Item:
    """Take an item out of use until an inspection clears it. Retired gear is refused: it is out for good."""
    (item,) = lock(pk)
    return _move(item, _State.QUARANTINED, reason, by, event=event)


@transaction.atomic
def retire(pk: int, reason: str, by: Account) -> Item:
    """Take an item out of use for good."""
    (item,) = lock(pk)
    return _move(item, _State.RETIRED, reason, by)


@transaction.atomic
def issue(pk: int, what: str, by: Account) -> Item:
    """Give an item out. Errors: StateError where it may not be used."""
    (item,) = lock(pk)
    why = why_not_usable(item)
    if why:
        raise StateError(f"{item.mark} is not given out: {why}")
    return _move(item, _State.ISSUED, f"given out for {what}", by)


@transaction.atomic
def give_back(pk: int, what: str, by: Account) -> Item:
    """Take an item back. One that was quarantined or retired meanwhile stays so: it is only back."""
    (item,) = lock(pk)
    if item.state == _State.ISSUED:
        _move(item, _State.IN_SERVICE, f"back from {what}", by)
    return item


@transaction.atomic
def apply_verdict(inspection: Inspection, by: Account) -> Item:
    """Let an inspection's verdict follow: clear, quarantine or retire the item, and set when it is due next.

    An inspection that is older than the newest one changes nothing for the better.
    """
    (item,) = lock(inspection.item_id)
    words = f"inspection ({_Level(inspection.level).label}): {_Verdict(inspection.verdict).label}"
    if inspection.verdict in (_Verdict.QUARANTINE, _Verdict.RETIRE):
        after = _State.RETIRED if inspection.verdict == _Verdict.RETIRE else _State.QUARANTINED
        item = _move(item, after, _because(words, inspection), by, inspection=inspection)
    elif item.state == _State.RETIRED:
        raise StateError(f"{item.mark} is retired, which is final; no inspection brings it back")
    elif item.state == _State.QUARANTINED and inspection.level in LEVELS_THAT_COUNT:
        _refuse_unless_it_clears(item, inspection)
        after = _State.ISSUED if is_out(item) else _State.IN_SERVICE
        item = _move(item, after, words, by, inspection=inspection)
    if inspection.level in LEVELS_THAT_COUNT and (item.inspected is None or inspection.day >= item.inspected):
        item.inspected, item.next_due = inspection.day, inspection.next_due
        item.save(update_fields=["inspected", "next_due"])
    return item


def hold_on(item: Item) -> Hold | None:
    """Why an item is quarantined, or None where it is not."""
    if item.state != _State.QUARANTINED:
        return None
    stretch: list[StateChange] = []
    for change in item.changes.select_related("event").order_by("-at", "-pk"):
        if change.after != _State.QUARANTINED:
            break
        stretch.append(change)
    if not stretch:  # a record without history: clear it by an inspection of today
        return Hold((item.reason or "no reason on record",), timezone.localdate(), ())
    days = [change.event.day if change.event else timezone.localdate(change.at) for change in stretch]
    return Hold(
        tuple(dict.fromkeys(change.reason for change in stretch)),
        max(days),
        tuple(change.event_id for change in stretch if change.event_id),
    )


def is_out(item: Item) -> bool:
    """Whether somebody has an item, in whatever state it is."""
    return IssuedItem.objects.filter(item=item, back=None).exists()


def stands_at(item: Item) -> str:
    """How far an item's record has come: its newest change of state and its newest inspection. A form that
    was opened before either of them speaks of another item than the one that is there now.
    """
    newest = (
        things.order_by("-pk").values_list("pk", flat=True).first() or 0
        for things in (item.changes, item.inspections)
    )
    return ".".join(map(str, newest))


def why_not_usable(item: Item) -> str:
    """Why an item can't be given out, in words; nothing where it can."""
    if item.state == _State.ISSUED:
        return "it is out already"
    if item.state != _State.IN_SERVICE:
        return f"it is {_State(item.state).label}" + (f" ({item.reason})" if item.reason else "")
    if item.next_due is None:
        return "its inspection is due: it was never inspected"
    if item.due:
        return f"its inspection was due on {item.next_due}"
    return ""


def _refuse_unless_it_clears(item: Item, inspection: Inspection) -> None:
    hold = hold_on(item)
    if hold is None:
        return
    if hold.events and inspection.level not in LEVELS_THAT_CLEAR:
        raise StateError(
            f"{item.mark} was in an event: a periodic inspection doesn't clear it; "
            "make it a detailed inspection or one after an event"
        )
    if inspection.day < hold.since:
        raise StateError(
            f"{item.mark} is quarantined since {hold.since}; an inspection of {inspection.day} is older "
            "and can't clear it"
        )


def _because(words: str, inspection: Inspection) -> str:
    """Why an item went out of use: what was not fit, else the note."""
    bad = inspection.findings.filter(result=Finding.Result.BAD)
    why = "; ".join(f"{found.point}: {found.note}" if found.note else found.point for found in bad)
    return f"{words}; {why or inspection.note}" if why or inspection.note else words


def _move(
    item: Item,
    after: str,
    reason: str,
    by: Account,
    *,
    event: Event | None = None,
    inspection: Inspection | None = None,
) -> Item:
    """Change a locked item's state and keep the change."""
    before = item.state
    reason = " ".join(reason.split())[:300]
    if not reason:
        raise StateError(f"say why {item.mark} is to be {_State(after).label}")
    if after not in FOLLOWS[before]:
        final = ", which is final" if before == _State.RETIRED else ""
        raise StateError(f"{item.mark} is {_State(before).label}{final}; it can't be {_State(after).label}")
    StateChange.objects.create(
        item=item, before=before, after=after, reason=reason, by=by, event=event, inspection=inspection
    )
    item.state = after
    item.reason = reason if after in (_State.QUARANTINED, _State.RETIRED) else ""
    item.save(update_fields=["state", "reason"])
    return item
