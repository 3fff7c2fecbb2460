"""What a plan asks for: each line with its rig as it stands now, its copies and what each takes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.db.models import F

from ropewright.allotting import Need, Unit, times
from ropewright.web.people.models import Person
from ropewright.web.planning.models import Plan, PlanExtra, PlanLine
from ropewright.web.planning.needs import RigNeeds, needs_of_rigs
from ropewright.web.policy.now import TeamRules
from ropewright.web.rigs.models import RigVersion

__all__ = ["BESIDE", "Asked", "asked_at", "asked_of", "ends_of"]

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


def ends_of(people: Iterable[Person]) -> tuple[float, ...]:
    """The masses of the heaviest and the lightest; one where they are the same."""
    masses = {person.mass for person in people if person.mass is not None}
    return tuple(dict.fromkeys((max(masses), min(masses)))) if masses else ()


def asked_of(
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
    extras = list(plan.extras.all())
    asked = list[Asked]()
    for number, (line, name) in enumerate(zip(lines, _names(lines), strict=True)):
        version = versions[line.rig_id]
        version.file = line.rig
        mine = [extra for extra in extras if extra.station == line.station != ""]
        extras = [extra for extra in extras if extra not in mine]
        units = _units(number, name, line.count)
        asked.append(Asked(name, line, version, RigNeeds(), units, tuple(mine)))
    if extras:
        units = _units(len(lines), BESIDE, 1)
        asked.append(Asked(BESIDE, None, None, RigNeeds(within=True), units, tuple(extras)))
    return asked_at(asked, rules, masses)


def asked_at(
    asked: Sequence[Asked], rules: TeamRules, masses: Sequence[float]
) -> tuple[tuple[Asked, ...], tuple[Need, ...]]:
    """The same lines with what each takes at other masses."""
    versions = {one.version.pk: one.version for one in asked if one.version}
    rigs = needs_of_rigs(list(versions.values()), rules, masses)
    found = tuple(replace(one, rig=rigs[one.version.pk]) if one.version else one for one in asked)
    return found, tuple(
        need
        for number, one in enumerate(found)
        for need in times([*one.rig.needs, *map(_need, one.extras)], number, one.name, len(one.units))
    )


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
