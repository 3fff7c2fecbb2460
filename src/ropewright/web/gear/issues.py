"""Giving gear out for one use, and taking it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.db.models import Count, F, Q, QuerySet
from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.gear import states
from ropewright.web.gear.models import Issue, IssuedItem, Item
from ropewright.web.gear.refusals import IssueError
from ropewright.web.gear.usable import Short, short_of_reserve
from ropewright.web.people.models import Person
from ropewright.web.rigs.models import RigVersion
from ropewright.web.shown import shown

__all__ = ["Line", "Purpose", "add", "find_marks", "give_out", "open_issues", "take_back"]


@dataclass(frozen=True, slots=True)
class Line:
    """An item by its key, and the part of the rig that it is to be."""

    item: int
    part: str = ""


@dataclass(frozen=True, slots=True)
class Purpose:
    """What gear is given out for, to whom and until when."""

    what: str
    taken_by: Person | None = None
    until: date | None = None
    rig_version: RigVersion | None = None


def find_marks(text: str) -> tuple[list[Item], list[str]]:
    """The items of marks that stand one a line or between commas; and the marks that no item has."""
    asked = list(dict.fromkeys(mark.strip() for mark in text.replace(",", "\n").splitlines() if mark.strip()))
    found: list[Item] = []
    unknown: list[str] = []
    exact = {item.mark: item for item in Item.objects.filter(mark__in=asked)}
    for mark in asked:
        item = exact.get(mark) or Item.objects.filter(mark__iexact=mark).first()
        if item is None:
            unknown.append(mark)
        else:
            found.append(item)
    return found, unknown


@transaction.atomic
def give_out(purpose: Purpose, lines: Sequence[Line], by: Account, *, below_reserve: bool = False) -> Issue:
    """Give items out together, all or none. Errors: IssueError with every reason."""
    _check(lines, below_reserve)
    issue = Issue.objects.create(
        what=purpose.what,
        taken_by=purpose.taken_by,
        until=purpose.until,
        rig_version=purpose.rig_version,
        given_by=by,
    )
    _hand_over(issue, lines, by)
    return issue


@transaction.atomic
def add(issue: Issue, lines: Sequence[Line], by: Account, *, below_reserve: bool = False) -> None:
    """Give out more for the same use."""
    issue = Issue.objects.select_for_update().get(pk=issue.pk)
    if issue.closed:
        raise IssueError(f"everything of '{issue.what}' is back; give out anew")
    _check(lines, below_reserve)
    again = IssuedItem.objects.filter(issue=issue, item__in=[line.item for line in lines])
    if again.exists():
        marks = ", ".join(again.values_list("item__mark", flat=True))
        raise IssueError(f"{marks} went out for this use already and came back; give it out anew")
    _hand_over(issue, lines, by)


def _check(lines: Sequence[Line], below_reserve: bool) -> None:
    keys = [line.item for line in lines]
    if not keys:
        raise IssueError("no item was chosen; choose what is given out")
    items = {item.pk: item for item in states.lock(*sorted(set(keys)))}
    faults = [
        f"{items[key].mark} is chosen {keys.count(key)} times; one item is one part"
        for key in dict.fromkeys(keys)
        if keys.count(key) > 1
    ]
    for item in items.values():
        why = states.why_not_usable(item)
        if why:
            faults.append(f"{item.mark} is not given out: {why}")
    short = short_of_reserve(keys)
    if short and not below_reserve:
        faults += [
            f"the front line would keep {s.stays} of {s.should} {s.type}"
            f"{_long(s)}; the policy keeps them on the rig"
            for s in short
        ]
    if faults:
        raise IssueError(*faults, short=bool(short))


def _long(short: Short) -> str:
    return f" of {shown(short.length, 'length')} or more" if short.length else ""


def _hand_over(issue: Issue, lines: Sequence[Line], by: Account) -> None:
    for line in lines:
        states.issue(line.item, issue.what, by)
    IssuedItem.objects.bulk_create(
        IssuedItem(issue=issue, item_id=line.item, part=line.part[:80]) for line in lines
    )


@transaction.atomic
def take_back(issue: Issue, keys: Sequence[int], by: Account) -> int:
    """Take back lines of an issue by their keys; give how many there were. The last one closes the issue."""
    issue = Issue.objects.select_for_update().get(pk=issue.pk)
    lines = list(issue.lines.filter(pk__in=keys, back=None).order_by("item_id"))
    states.lock(*(line.item_id for line in lines))
    now = timezone.now()
    issue.lines.filter(pk__in=[line.pk for line in lines]).update(back=now)
    for line in lines:
        states.give_back(line.item_id, issue.what, by)
    if not issue.lines.filter(back=None).exists() and issue.closed is None:
        issue.closed = now
        issue.save(update_fields=["closed"])
    return len(lines)


def open_issues() -> QuerySet[Issue]:
    """What is out, soonest wanted back first, each with its items and those of them still out counted."""
    return (
        Issue.objects.filter(closed=None)
        .select_related("taken_by", "rig_version__file")
        .annotate(count=Count("lines"), out=Count("lines", filter=Q(lines__back=None)))
        .order_by(F("until").asc(nulls_last=True), "given")
    )
