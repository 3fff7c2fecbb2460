"""A plan's answer: everything that its page says, worked out live from the store."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ropewright.allotting import (
    Given,
    Kept,
    Limit,
    Over,
    Ratio,
    Reserve,
    Row,
    Unit,
    limits_with,
    over_limits,
    reserve_kept,
    rows_of,
    worst_ratio,
)
from ropewright.web.people.models import Person
from ropewright.web.planning.asked import Asked, asked_of, ends_of
from ropewright.web.planning.lots import Lot, lots_of
from ropewright.web.planning.models import Plan
from ropewright.web.planning.sameday import SameDay, same_day
from ropewright.web.planning.solved import Solved, solve
from ropewright.web.planning.standing import may_not, on_rope_told
from ropewright.web.planning.stock import Cache, cache_of
from ropewright.web.policy.now import TeamRules

__all__ = ["Answer", "RatioAsked", "answer", "everybody", "ratio_of", "reserve_of"]

Reads = Callable[[Person], bool]
"""Whether whoever asks may read a person's mass."""


@dataclass(frozen=True, slots=True)
class RatioAsked:
    """The worst group of the day against what the policy allows; ``most`` None: it states none."""

    worst: Ratio
    most: float | None
    source: str

    @property
    def within(self) -> bool:
        """Whether it is allowed; without a rule it is."""
        return self.most is None or self.worst.within(self.most)


@dataclass(frozen=True, slots=True)
class Answer:
    """What is asked, what is given, what is short, who is over a limit: as far as the reader may know it.

    ``beside``: the other plans of the day, where there are any. ``over`` holds the places in ``people`` as
    names; ``unweighed`` are people without a mass on record. Nothing here, not even which items are given,
    follows from the mass of the ``unread``, which the reader may not read. ``off_rope``: who may not go on
    rope. ``doubts``: what else the roster has against people that day. ``lots``: what is out for the plan.
    """

    plan: Plan
    asked: tuple[Asked, ...]
    cache: Cache
    solved: Solved
    rows: tuple[Row, ...]
    kept: tuple[Kept, ...]
    people: tuple[Person, ...]
    over: tuple[Over, ...]
    unweighed: tuple[Person, ...]
    unread: tuple[Person, ...]
    off_rope: tuple[Person, ...]
    doubts: tuple[str, ...]
    lots: tuple[Lot, ...]
    students: int
    instructors: int
    ratio: RatioAsked | None
    beside: SameDay | None

    @property
    def unusable(self) -> tuple[Asked, ...]:
        """Rigs whose text can't be used."""
        return tuple(one for one in self.asked if one.rig.fault)

    @property
    def outside(self) -> tuple[Asked, ...]:
        """Rigs that are outside policy as they are written."""
        return tuple(one for one in self.asked if one.version and not one.rig.fault and not one.rig.within)

    @property
    def beyond(self) -> tuple[Asked, ...]:
        """Rigs that are within policy as they are written, and not with those who go on rope."""
        return tuple(one for one in self.asked if one.rig.beyond)

    @property
    def uneven(self) -> tuple[Asked, ...]:
        """Rigs for several people, who weigh different amounts: each was judged with all at one mass."""
        return tuple(one for one in self.asked if len(one.rig.people) > 1 and len(one.rig.at) > 1)

    @property
    def barred(self) -> tuple[Asked, ...]:
        """Rigs that can't be rigged as they are written for those who go on rope, whatever gear there is."""
        gone = (*self.unusable, *self.outside, *self.beyond)
        return tuple(one for one in self.asked if one in gone)

    @property
    def can(self) -> bool:
        """Whether nothing that is known speaks against it: nothing is short, every rig is within policy also
        with the heaviest and the lightest of those on rope, and all of them may go there.
        """
        return bool(self.asked) and not (self.solved.allotment.short or self.barred or self.off_rope)

    @property
    def places(self) -> int:
        """How many people the rigs hold at once."""
        return sum(len(one.units) * len(one.rig.people) for one in self.asked)

    @property
    def at_once(self) -> int:
        """How many people the rigs need at once: those they hold, and those of their crews."""
        return self.places + sum(len(one.units) * one.rig.hands for one in self.asked)

    @property
    def planned(self) -> int:
        """How many people the plan has, whatever they do."""
        return self.students + self.instructors

    def at(self, mass: float) -> tuple[Person, ...]:
        """Those on rope who have this very mass [kg], as far as it may be read."""
        return tuple(person for person in self.people if person not in self.unread and person.mass == mass)

    def given(self, unit: Unit) -> tuple[Given, ...]:
        """What one rig is given."""
        return self.solved.allotment.of(unit)


def everybody(_person: Person) -> bool:
    """Every mass may be read."""
    return True


def answer(plan: Plan, rules: TeamRules, reads: Reads = everybody) -> Answer:
    """Work a plan out, at the masses that may be read."""
    people = tuple(plan.people.prefetch_related("prerequisites"))
    read = [reads(person) for person in people]
    asked, needs = asked_of(
        plan, rules, ends_of(person for person, may in zip(people, read, strict=True) if may)
    )
    reserve = reserve_of(rules)
    own = frozenset(plan.issues.values_list("pk", flat=True))
    types = {need.type for need in needs}
    cache = cache_of(types, plan.day, own)
    solved = solve(needs, cache, plan.day, reserve, lend=plan.lend)
    weighed = [
        (str(k), person.mass) for k, person in enumerate(people) if read[k] and person.mass is not None
    ]
    students = len(people) + plan.more_people
    instructors = plan.instructors.count() + plan.more_instructors
    groups = plan.groups or sum(one.line is not None for one in asked)
    return Answer(
        plan=plan,
        asked=asked,
        cache=cache,
        solved=solved,
        rows=rows_of(solved.allotment, cache.items, plan.day, rules.units),
        kept=reserve_kept([line for line in reserve if line.type in types], cache.items, plan.day),
        people=people,
        over=over_limits(weighed, _limits(asked, solved)),
        unweighed=tuple(one for one, may in zip(people, read, strict=True) if may and one.mass is None),
        unread=tuple(one for one, may in zip(people, read, strict=True) if not may),
        off_rope=tuple(filter(may_not, people)),
        doubts=tuple(on_rope_told(people, plan.day)),
        lots=lots_of(plan),
        students=students,
        instructors=instructors,
        ratio=ratio_of(plan.work, students, instructors, groups, rules),
        beside=same_day(plan, needs, reserve, lambda other: asked_of(other, rules, _masses(other, reads))[1]),
    )


def _masses(plan: Plan, reads: Reads) -> tuple[float, ...]:
    return ends_of(filter(reads, plan.people.all()))


def reserve_of(rules: TeamRules) -> tuple[Reserve, ...]:
    """What the policy keeps on the front line."""
    return tuple(Reserve(str(line["type"]), int(line["count"]), line.get("length")) for line in rules.reserve)


def _limits(asked: Sequence[Asked], solved: Solved) -> list[Limit]:
    return [limit for one in asked for limit in limits_with(one.units, one.rig.worn, solved.allotment)]


def ratio_of(work: str, students: int, instructors: int, groups: int, rules: TeamRules) -> RatioAsked | None:
    """The ratio of so many groups for a kind of work; None where nobody is taught."""
    if not students:
        return None
    rule = rules.ratios.get(work, {})
    most = rule.get("students")
    worst = worst_ratio(students, instructors, groups)
    return RatioAsked(worst, None if most is None else float(most), str(rule.get("source", "")))
