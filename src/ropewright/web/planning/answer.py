"""A plan's answer: everything that its page says, worked out live from the store."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import F

from ropewright.allotting import (
    Given,
    Kept,
    Limit,
    Need,
    Over,
    Ratio,
    Reserve,
    Row,
    Unit,
    limits_with,
    over_limits,
    reserve_kept,
    rows_of,
    times,
    worst_ratio,
)
from ropewright.web.people.models import Person
from ropewright.web.planning.lots import Lot, lots_of
from ropewright.web.planning.models import Plan, PlanExtra, PlanLine
from ropewright.web.planning.needs import RigNeeds, needs_of_rigs
from ropewright.web.planning.sameday import SameDay, same_day
from ropewright.web.planning.solved import Solved, solve
from ropewright.web.planning.standing import may_not, on_rope_told
from ropewright.web.planning.stock import Cache, cache_of
from ropewright.web.policy.now import TeamRules
from ropewright.web.rigs.models import RigVersion

__all__ = ["BESIDE", "Answer", "Asked", "RatioAsked", "answer", "everybody", "ratio_of", "reserve_of"]

Reads = Callable[[Person], bool]
"""Whether whoever asks may read a person's mass."""

BESIDE = "Gear beside the rigs"


@dataclass(frozen=True, slots=True)
class Asked:
    """A line of the plan: its rig as it stands now, or None for gear beside the rigs; its copies, and the
    gear that the plan takes with each of them.
    """

    name: str
    line: PlanLine | None
    version: RigVersion | None
    rig: RigNeeds
    units: tuple[Unit, ...]
    extras: tuple[PlanExtra, ...] = ()


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
        return tuple(one for one in self.asked if one.rig.within and one.rig.beyond)

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
    asked, needs = _asked(plan, rules, _ends(person for person, may in zip(people, read, strict=True) if may))
    reserve = reserve_of(rules)
    own = frozenset(plan.issues.values_list("pk", flat=True))
    types = {need.type for need in needs}
    cache = cache_of(types, plan.day, own)
    solved = solve(needs, cache.items, plan.day, reserve, lend=plan.lend)
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
        beside=same_day(plan, needs, reserve, lambda other: _asked(other, rules, _masses(other, reads))[1]),
    )


def _masses(plan: Plan, reads: Reads) -> tuple[float, ...]:
    return _ends(filter(reads, plan.people.all()))


def _ends(people: Iterable[Person]) -> tuple[float, ...]:
    """The masses of the heaviest and the lightest; one where they are the same."""
    masses = {person.mass for person in people if person.mass is not None}
    return tuple(dict.fromkeys((max(masses), min(masses)))) if masses else ()


def _asked(
    plan: Plan, rules: TeamRules, masses: Sequence[float]
) -> tuple[tuple[Asked, ...], tuple[Need, ...]]:
    """The lines with what each takes; gear beside the rigs stands with the station that it is for."""
    lines = list(plan.lines.select_related("rig"))
    versions = {
        version.file_id: version
        for version in RigVersion.objects.filter(
            file__in=[line.rig_id for line in lines], number=F("file__latest")
        )
    }
    rigs = needs_of_rigs(list(versions.values()), rules, masses)
    extras = list(plan.extras.all())
    names = _names(lines)
    asked, needs = list[Asked](), list[Need]()
    for number, (line, name) in enumerate(zip(lines, names, strict=True)):
        version = versions[line.rig_id]
        rig = rigs[version.pk]
        mine = [extra for extra in extras if extra.station == line.station != ""]
        extras = [extra for extra in extras if extra not in mine]
        whole = times([*rig.needs, *map(_need, mine)], number, name, line.count)
        units = _units(number, name, line.count)
        asked.append(Asked(name, line, version, rig, units, tuple(mine)))
        needs += whole
    if extras:
        whole = times(map(_need, extras), len(lines), BESIDE, 1)
        units = _units(len(lines), BESIDE, 1)
        asked.append(Asked(BESIDE, None, None, RigNeeds(within=True), units, tuple(extras)))
        needs += whole
    return tuple(asked), tuple(needs)


def _names(lines: Sequence[PlanLine]) -> list[str]:
    """What each line is called: its station, or its rig; told apart where two would be called alike."""
    names = list[str]()
    for line in lines:
        name, number = line.station or str(line.rig), 2
        while name in names:
            name, number = f"{line.station or line.rig} ({number})", number + 1
        names.append(name)
    return names


def _units(number: int, name: str, count: int) -> tuple[Unit, ...]:
    """The copies of a line, as `times` calls them."""
    return tuple(need.unit for need in times([Need(Unit(0), "")], number, name, count))


def _need(extra: PlanExtra) -> Need:
    return Need(Unit(0), extra.type, extra.count, (), extra.length, size=extra.size)


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
