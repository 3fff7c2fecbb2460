"""Recording an inspection: what may follow from what was found, and when the next one is due."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db import transaction

from ropewright.web.accounts.models import Account
from ropewright.web.gear.intervals import age_of, interval_for
from ropewright.web.gear.models import Finding, Inspection, Item
from ropewright.web.gear.refusals import InspectionError
from ropewright.web.gear.states import (
    LEVELS_THAT_CLEAR,
    LEVELS_THAT_COUNT,
    apply_verdict,
    hold_on,
    lock,
    stands_at,
)

__all__ = ["Look", "Seen", "next_due", "record", "record_many", "what_is_wrong"]

_Result, _Verdict, _State = Finding.Result, Inspection.Verdict, Item.State
_FIT = (_Verdict.FIT, _Verdict.WATCH)
LONGEST = 5 * 366
"""The most days to a next inspection that somebody may set where the policy says nothing: a typing error
otherwise."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A point of the checklist, what was seen there, and a note."""

    point: str
    result: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Look:
    """An inspection as it was made: by whom, when, how thoroughly, what was seen and what follows.

    ``next_due`` is what the inspector set; None leaves it to the policy.
    """

    level: str
    day: date
    verdict: str
    inspector: str
    seen: Sequence[Seen]
    note: str = ""
    next_due: date | None = None


def next_due(item: Item, look: Look) -> tuple[date | None, str]:
    """When the item is due next and where that comes from. Errors: InspectionError.

    The policy's interval is the latest; the inspector may set an earlier day. A look before or after use, or
    one after which the item is out of use, sets none.
    """
    if look.level not in LEVELS_THAT_COUNT or look.verdict not in _FIT:
        return None, ""
    interval, wanted = interval_for(item.type), look.next_due
    if wanted is not None and wanted <= look.day:
        raise InspectionError(f"the next inspection ({wanted}) has to be later than this one ({look.day})")
    if interval is None:
        return _set_by_hand(item, look)
    last = look.day + timedelta(days=interval.days)
    if wanted is None or wanted == last:
        return last, f"{interval.days} days: {interval.source}"
    if wanted > last:
        raise InspectionError(
            f"{item.mark} is due again by {last} at the latest ({interval.days} days: {interval.source}); "
            f"{wanted} is later"
        )
    return wanted, f"set by {look.inspector}; the policy's {interval.days} days would end on {last}"


def _set_by_hand(item: Item, look: Look) -> tuple[date, str]:
    if look.next_due is None:
        raise InspectionError(
            f"the policy states no interval for {item.type}; enter the day of the next inspection"
        )
    if (look.next_due - look.day).days > LONGEST:
        raise InspectionError(f"the next inspection ({look.next_due}) is more than five years off")
    return look.next_due, f"set by {look.inspector}; the policy states no interval"


def what_is_wrong(item: Item, look: Look) -> Iterator[str]:
    """Everything about an inspection that can't stand."""
    bad = [seen.point for seen in look.seen if seen.result == _Result.BAD]
    watched = [seen.point for seen in look.seen if seen.result == _Result.WATCH]
    not_seen = [seen.point for seen in look.seen if seen.result == _Result.NOT_SEEN]
    if look.verdict in _FIT:
        if bad:
            yield f"not fit at {_listed(bad)}: the verdict can only be quarantine or retire"
        if look.verdict == _Verdict.FIT and watched:
            yield f"to be watched at {_listed(watched)}: the verdict can't be better than fit, to be watched"
        yield from _unseen(item, look, not_seen)
        yield from _not_cleared(item, look)
        yield from _of_no_known_age(item, look)
    elif not (bad or watched or look.note):
        yield "say in the note why it goes out of use: no point was found not fit"
    if item.state == _State.RETIRED:
        yield f"{item.mark} is retired, which is final; it is not inspected any more"
    if item.made and look.day < item.made:
        yield f"{item.mark} was made on {item.made}, after the day of the inspection ({look.day})"
    try:
        next_due(item, look)
    except InspectionError as error:
        yield from error.faults


def _unseen(item: Item, look: Look, not_seen: Sequence[str]) -> Iterator[str]:
    """What nobody looked at passes nothing silently."""
    if not not_seen:
        return
    if len(not_seen) == len(look.seen):
        yield "no point was looked at; an item that nobody looked at has no verdict"
    elif item.state == _State.QUARANTINED or look.level in LEVELS_THAT_CLEAR:
        yield f"not looked at: {_listed(not_seen)}; it clears the item only with every point looked at"
    elif look.level in LEVELS_THAT_COUNT and (look.verdict == _Verdict.FIT or not look.note):
        yield (
            f"not looked at: {_listed(not_seen)}; the verdict can't be better than fit, to be watched, "
            "with a note that says why"
        )


def _not_cleared(item: Item, look: Look) -> Iterator[str]:
    hold = hold_on(item)
    if hold is None:
        return
    if look.level not in LEVELS_THAT_COUNT:
        yield f"{item.mark} is quarantined; a look before or after use doesn't clear it"
    elif hold.events and look.level not in LEVELS_THAT_CLEAR:
        yield (
            f"{item.mark} was in an event; only a detailed inspection or one after an event clears it, item "
            "by item"
        )
    if look.day < hold.since:
        yield f"{item.mark} is quarantined since {hold.since}; an inspection of {look.day} can't clear it"


def _of_no_known_age(item: Item, look: Look) -> Iterator[str]:
    """A textile whose age can't be held against a limit, because no day is known or the policy states none,
    passes with a reason for who uses it, or not at all.
    """
    age = age_of(item, look.day)
    if age and age.ends is None and look.level in LEVELS_THAT_COUNT and not look.note:
        yield f"{item.mark}: {age.words}; say in the note why it may be used all the same, or quarantine it"


def _listed(points: Sequence[str]) -> str:
    return "; ".join(points)


def _overtaken(item: Item, opened: Mapping[int, str] | None) -> Iterator[str]:
    """What happened to an item since the form of its inspection was opened."""
    if opened is None or opened.get(item.pk) == stands_at(item):
        return
    said = f", {item.reason}" if item.reason else ""
    yield (
        f"{item.mark} was inspected or changed since this form was opened; it is {_State(item.state).label} "
        f"now{said}. Look at it again, and put on record what you then see"
    )


@transaction.atomic
def record(pk: int, look: Look, by: Account, opened: Mapping[int, str] | None = None) -> Inspection:
    """Keep an inspection and let its verdict follow. Errors: InspectionError, with nothing kept.

    opened: how far each item's record had come (`states.stands_at`) when whoever looked at it began; None
        where nothing can have come between.
    """
    (item,) = lock(pk)
    faults = (*_overtaken(item, opened), *what_is_wrong(item, look))
    if faults:
        raise InspectionError(*faults)
    due, source = next_due(item, look)
    made = Inspection.objects.create(
        item=item,
        level=look.level,
        day=look.day,
        verdict=look.verdict,
        inspector=look.inspector,
        next_due=due,
        interval_source=source[:300],
        note=look.note,
        entered_by=by,
    )
    Finding.objects.bulk_create(
        Finding(inspection=made, point=seen.point[:120], result=seen.result, note=seen.note[:300])
        for seen in look.seen
    )
    apply_verdict(made, by)
    return made


@transaction.atomic
def record_many(
    pks: Sequence[int], look: Look, by: Account, opened: Mapping[int, str] | None = None
) -> list[Inspection]:
    """Keep the same inspection for several items of a kind, all or none.

    Only items that pass go this way: what is to be quarantined, retired or cleared is looked at alone.
    """
    items = lock(*sorted(pks))
    faults: list[str] = []
    if look.verdict not in _FIT:
        faults.append("several at once can only pass; take out what doesn't, and inspect it by itself")
    faults += [
        f"{item.mark} is {_State(item.state).label}: inspect it by itself"
        for item in items
        if item.state in (_State.QUARANTINED, _State.RETIRED)
    ]
    for item in items:
        faults += _overtaken(item, opened)
        faults += [fault for fault in what_is_wrong(item, look) if fault not in faults]
    if faults:
        raise InspectionError(*faults)
    return [record(item.pk, look, by) for item in items]
