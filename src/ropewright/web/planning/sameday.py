"""The plans of one day taken together: what each could have alone may not be there for all of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ropewright.allotting import Need, Reserve
from ropewright.web.planning.models import Plan
from ropewright.web.planning.solved import missing_kinds
from ropewright.web.planning.stock import cache_of

__all__ = ["MOST", "SameDay", "same_day"]

MOST = 5
"""Other plans of a day that are looked at together with one."""


@dataclass(frozen=True, slots=True)
class SameDay:
    """The other plans of a day, and what is missing for all of them with this one: count and a need of it.

    ``more``: how many plans of the day there are beyond those that were looked at.
    """

    plans: tuple[Plan, ...]
    missing: tuple[tuple[int, Need], ...]
    more: int = 0


def same_day(
    plan: Plan,
    needs: Sequence[Need],
    reserve: Sequence[Reserve],
    needs_of: Callable[[Plan], Sequence[Need]],
) -> SameDay | None:
    """All plans of a plan's day solved as one; None where it is alone. ``needs_of``: what another one takes.

    The front line is lent only where every one of them allows it.
    """
    others = list(Plan.objects.filter(day=plan.day).exclude(pk=plan.pk))
    if not others:
        return None
    looked = others[:MOST]
    whole = list(needs)
    for other in looked:
        first = 1 + max((need.unit.line for need in whole), default=0)
        whole += [
            replace(need, unit=replace(need.unit, line=need.unit.line + first)) for need in needs_of(other)
        ]
    issues = [key for one in (plan, *looked) for key in one.issues.values_list("pk", flat=True)]
    cache = cache_of({need.type for need in whole}, plan.day, frozenset(issues))
    lend = plan.lend and all(other.lend for other in looked)
    found = missing_kinds(whole, cache, plan.day, reserve, lend=lend)
    return SameDay(tuple(looked), found, len(others) - len(looked))
