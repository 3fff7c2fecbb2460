"""A plan with some people off the rope: who may not go there, and whom its rigs don't take."""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.allotting import Need
from ropewright.web.people.models import Person
from ropewright.web.planning.answer import Answer, reserve_of
from ropewright.web.planning.asked import asked_at, ends_of
from ropewright.web.planning.solved import missing_kinds
from ropewright.web.policy.now import TeamRules

__all__ = ["MOST_OFF", "Without", "without_people"]

MOST_OFF = 6
"""How many masses are tried in turn: with more than that in the way it is another plan."""


@dataclass(frozen=True, slots=True)
class Without:
    """Who is off the rope, and what is still missing then: count and a need of it."""

    off: tuple[Person, ...]
    missing: tuple[tuple[int, Need], ...]


def without_people(found: Answer, rules: TeamRules) -> Without | None:
    """The fewest heaviest and lightest off the rope with whom every rig that is within policy as it is
    written stays so. None where nobody has to go, or nobody would be left.
    """
    off, asked, needs = list(found.off_rope), found.asked, found.solved.allotment.needs
    for tried in range(MOST_OFF + 1):
        over = {at.mass for one in asked for at in one.rig.beyond}
        off += [person for mass in over for person in found.at(mass) if person not in off]
        if tried and not over:
            break
        if not off or len(off) == len(found.people):
            return None
        weighed = [person for person in found.people if person not in (*off, *found.unread)]
        asked, needs = asked_at(asked, rules, ends_of(weighed))
    else:
        return None
    plan, reserve = found.plan, reserve_of(rules)
    return Without(tuple(off), missing_kinds(needs, found.cache, plan.day, reserve, lend=plan.lend))
