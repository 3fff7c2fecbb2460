"""Handing a plan's items to the gear room: each rig becomes one issue, with the part that each item is."""

from __future__ import annotations

from datetime import date
from functools import partial

from django.db import transaction

from ropewright.web.access import sees_mass
from ropewright.web.accounts.models import Account
from ropewright.web.gear.issues import Line, Purpose, give_out
from ropewright.web.gear.models import Issue
from ropewright.web.gear.refusals import IssueError
from ropewright.web.people.models import Person
from ropewright.web.planning.answer import Answer, answer
from ropewright.web.planning.models import Plan
from ropewright.web.planning.verdict import against
from ropewright.web.policy.now import TeamRules
from ropewright.web.workings.results import digest

__all__ = ["give", "seal"]


def seal(found: Answer) -> str:
    """A short sum of which item goes where, for which versions of the rigs, and what speaks against it: what
    somebody saw is what is given out, or nothing is.
    """
    items = [(g.need, g.part, g.item.mark) for g in found.solved.allotment.given]
    return digest(items, [one.version and one.version.pk for one in found.asked], against(found))[:32]


@transaction.atomic
def give(
    plan: Plan,
    rules: TeamRules,
    by: Account,
    shown: str,
    taken_by: Person | None,
    until: date | None,
    *,
    anyway: bool = False,
) -> list[Issue]:
    """Give out what the plan's page showed, all or none. Errors: IssueError with every reason.

    anyway: somebody said to give out what there is though something speaks against the plan as it stands, or
    is not known of it.
    """
    plan = Plan.objects.select_for_update().get(pk=plan.pk)
    found = answer(plan, rules, partial(sees_mass, by))
    if seal(found) != shown:
        raise IssueError("the store has changed since the page was opened; look at the items again")
    if against(found) and not anyway:
        raise IssueError(f"{against(found)}; tick that what there is goes out all the same")
    made = []
    for one in found.asked:
        for unit in one.units:
            lines = [
                Line(found.cache.keys[g.item.mark], g.part)
                for g in found.given(unit)
                if g.item.mark not in found.cache.here
            ]
            if lines:
                what = f"{plan.title}: {unit.name}"[:160]
                made.append(give_out(Purpose(what, taken_by, until, one.version), lines, by))
    if not made:
        raise IssueError("nothing of it is left to give out")
    plan.issues.add(*made)
    return made
