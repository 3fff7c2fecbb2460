"""Who is at the rope: how many haulers, what they give together, and how many a pull takes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ropewright.effort.profiles import profile
from ropewright.effort.pulls import Prepared
from ropewright.effort.roster import Person
from ropewright.judgement.moved import Moved
from ropewright.judgement.own_rules import READS_ALIKE
from ropewright.judgement.rules.crews import hands_of
from ropewright.mechanics import GRAVITY
from ropewright.quantity import Range

__all__ = [
    "EXACT",
    "Crew",
    "Haulers",
    "crew_of_file",
    "crew_of_number",
    "crew_of_people",
    "each_gives",
    "haulers",
    "own_pull",
    "pulls_himself",
]

EXACT = 1e-9
"""Share by which a pull may exceed a whole number of haulers through rounding alone."""


@dataclass(frozen=True, slots=True)
class Crew:
    """Haulers at the rope: ``best`` and ``sustained`` are what they give together [N]; ``said`` names where
    the number comes from; ``team`` is what they sustain by the team's figure where the file states more.

    Where several crews hold ropes the weakest hand decides: together they give what it gives, times the
    hands; ``by`` is then how many people like its own that is, 0 elsewhere.
    """

    count: int
    best: float
    sustained: float
    said: str
    team: float | None = None
    by: float = 0.0

    @property
    def each(self) -> float:
        """What one of them sustains [N], as stated."""
        return self.sustained / (self.by or self.count)

    @property
    def team_each(self) -> float | None:
        """The same by the team's figure, where the file states more."""
        return None if self.team is None else self.team / (self.by or self.count)


@dataclass(frozen=True, slots=True)
class Haulers:
    """How many haulers a pull takes, each giving ``each`` [N]: at the likely figure and at either end."""

    each: float
    low: int
    likely: int
    high: int


def pulls_himself(moved: Moved) -> bool:
    """Whether the load that is moved pulls or holds its own rope, and nobody else does."""
    return set(hands_of(moved)) == {moved.load}


def haulers(force: Range, hands: int, each: float) -> Haulers:
    """Haulers for ``hands`` ropes pulled with ``force`` [N] each, by people who give ``each`` [N]."""

    def count(newtons: float) -> int:
        return hands * max(1, math.ceil(newtons / each * (1 - EXACT)))

    return Haulers(each, count(force.low), count(force.likely), count(force.high))


def each_gives(prepared: Prepared) -> tuple[float, float]:
    """What one hauler gives [N]: for a short pull, and sustained; the team's policy replaces the latter."""
    sustained = profile("hauler-sustained").likely
    if prepared.policy.stated("hauler-pull"):
        sustained = prepared.policy.number("hauler-pull") or sustained
    return max(profile("hauler-best-case").likely, sustained), sustained


def own_pull(mass: float) -> tuple[float, float]:
    """What somebody of this mass [kg] gives who hangs and pulls on his own rope [N]: what is counted on for
    some minutes, and what the strong give for a few pulls.
    """
    share = profile("self-haul-share")
    return share.likely * mass * GRAVITY, share.high * mass * GRAVITY


def crew_of_number(prepared: Prepared, count: int) -> Crew:
    """A crew of so many, none of them measured."""
    best, sustained = each_gives(prepared)
    return Crew(count, count * best, count * sustained, "as asked for")


def crew_of_people(prepared: Prepared, people: Iterable[Person]) -> Crew:
    """Those of the list who haul; whoever was measured counts with that."""
    best, sustained = each_gives(prepared)
    crew = [p for p in people if p.role.hauls]
    return Crew(
        len(crew),
        sum(p.pull.high if p.pull else best for p in crew),
        sum(p.pull.low if p.pull else sustained for p in crew),
        "from the list",
    )


def crew_of_file(prepared: Prepared, moved: Moved) -> Crew:
    """The crews that the rig file puts at the ropes; another load with a rope in hand counts as one."""
    best, sustained = each_gives(prepared)
    hands, found = hands_of(moved), list[tuple[float, ...]]()
    count = 0
    for name in dict.fromkeys(hands):
        crew = prepared.rig.crews.get(name)
        people = crew.people if crew else 1
        own = crew.pull if crew else None
        count += people
        at_one = people / hands.count(name)
        steady = own.low if own else sustained
        each = (own.high if own else best, steady, min(sustained, steady))
        found.append((*(at_one * newtons for newtons in each), at_one))
    if not found:
        return Crew(0, 0.0, 0.0, "as in the file")
    most, steady, least = (len(hands) * min(one[k] for one in found) for k in range(3))
    weakest = min(found, key=lambda one: one[1])
    return Crew(
        count,
        most,
        steady,
        "as in the file" if len(found) == 1 else "as in the file, the weakest hand deciding",
        least if least < steady * (1 - READS_ALIKE) else None,
        0.0 if len(found) == 1 else len(hands) * weakest[3],
    )
