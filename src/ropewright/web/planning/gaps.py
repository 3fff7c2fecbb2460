"""What nobody wrote down of the items that a plan proposes: age, maker, strength."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.web.gear.intervals import age_of, known_since
from ropewright.web.gear.models import Item
from ropewright.web.planning.answer import Answer

__all__ = ["MOST_LISTED", "gaps_told"]

MOST_LISTED = 12
"""How many items are listed by their marks; more are counted."""


def gaps_told(found: Answer) -> Iterator[str]:
    """One sentence for each kind of gap: how many of the items proposed have it, and which."""
    allotted = found.solved.allotment
    records = {item.mark: item for item in _proposed(found)}
    ages = {mark: age_of(item, found.plan.day) for mark, item in records.items()}
    past = [mark for mark, age in ages.items() if age and age.over]
    undated = [mark for mark, item in records.items() if item.textile and known_since(item) is None]
    nameless = [mark for mark, item in records.items() if not (item.supplier or item.serial)]
    unstated = {
        given.item.mark
        for given in allotted.given
        if allotted.needs[given.need].strength is not None and given.item.strength is None
    }
    if past:
        yield f"Past the age that the policy allows textiles, on that day: {_listed(past)}."
    if undated:
        yield f"Age can't be told, no date of making, buying or first use is known: {_listed(undated)}."
    if nameless:
        yield f"Maker can't be told, neither supplier nor lot or serial is on record: {_listed(nameless)}."
    if unstated:
        yield (
            f"No strength on record: {_listed(sorted(unstated))}. The figure that the rig's check took for "
            "their type stands in. Read what is marked on them."
        )


def _proposed(found: Answer) -> Iterator[Item]:
    """The items that the plan proposes, with what their age and make are told by."""
    marks = {given.item.mark for given in found.solved.allotment.given}
    told_by = ("mark", "textile", "made", "bought", "first_used", "supplier", "serial")
    yield from Item.objects.filter(mark__in=marks).only(*told_by).order_by("mark")


def _listed(marks: list[str]) -> str:
    more = len(marks) - MOST_LISTED
    listed = ", ".join(marks[:MOST_LISTED]) + (f" and {more} more" if more > 0 else "")
    return f"{len(marks)} of the items proposed ({listed})"
