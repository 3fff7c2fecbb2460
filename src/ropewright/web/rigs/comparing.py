"""Rigs side by side: the figures that an instructor weighs, and what differs in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from ropewright.errors import RopewrightError
from ropewright.quantity import QuantityError, Units, read_quantity, show_force, show_length, show_mass
from ropewright.rig import Rig as RigRead
from ropewright.rig.editing import EditError, change_part
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.reading import After, Held, anchors_of, failures_of, held_of, stands, worst_of
from ropewright.web.workings.engine import read_for_team, summary_of

__all__ = ["MOST", "Column", "MassError", "column_of", "differences_of", "mass_asked"]

MOST = 3
"""Rigs side by side."""
LEAST_MASS, MOST_MASS = 1.0, 1000.0
"""Masses [kg] that may be asked for."""
ALIKE = 0.02
"""Share up to which two figures are told as the same."""


@dataclass(frozen=True)
class Column:
    """One rig of a comparison; of an unusable text only the rig. ``motion``: the haul, else the lowering;
    ``asked``: the load whose mass is another than its file has.
    """

    rig: Rig
    worked: Mapping[str, Any]
    read: RigRead | None = None
    motion: Mapping[str, Any] | None = None
    hauls: bool = False
    worst: Mapping[str, Any] | None = None
    anchors: Sequence[Mapping[str, Any]] = ()
    after: After | None = None
    off: Sequence[Mapping[str, Any]] = field(default=())
    asked: str = ""

    @property
    def usable(self) -> bool:
        """Whether there are figures."""
        return self.read is not None

    @property
    def moves(self) -> bool:
        """Whether the motion that it asks for can be done."""
        return self.motion is not None and not self.motion.get("cannot")

    @property
    def gear(self) -> int:
        """Pieces of gear."""
        return len(self.read.gear) if self.read else 0

    @property
    def loads(self) -> str:
        """The loads with their masses."""
        found = self.read.loads.values() if self.read else ()
        return ", ".join(f"{load.name} {show_mass(load.mass.likely, rules_now().units)}" for load in found)

    @property
    def held(self) -> Held | None:
        """What becomes of the loads when any one thing fails."""
        return held_of(self.after, self.worked["found"]) if self.after else None

    @property
    def dropped(self) -> tuple[Mapping[str, Any], ...]:
        """The loads that come down with every hand off."""
        return tuple(o for o in self.off if o["outcome"] != "held" and not stands(o))


class MassError(RopewrightError):
    """A mass that can't be asked for."""


def mass_asked(word: str) -> float | None:
    """The mass [kg] that a field asks for, in the team's unit where it names none; None where it is empty.

    Errors: MassError.
    """
    if not word.strip():
        return None
    first = rules_now().first
    try:
        found = read_quantity(word.strip()[:40], "mass", first, sign="above-zero").likely
    except QuantityError as error:
        raise MassError(str(error)) from None
    if not LEAST_MASS <= found <= MOST_MASS:
        units = rules_now().units
        least, most = show_mass(LEAST_MASS, units), show_mass(MOST_MASS, units)
        raise MassError(f"found {show_mass(found, units)}; write a mass from {least} to {most}")
    return round(found, 1)


def column_of(rig: Rig, mass: float | None = None) -> Column:
    """A rig as it stands in a comparison, its load of this mass [kg] where one is asked.

    Errors: MassError where the text is written in a way that its mass can't be changed.
    """
    text, asked = rig.current.text, ""
    if mass is not None and "faults" not in summary_of(text):
        text, asked = _with_mass(text, mass)
    worked = summary_of(text)
    if "faults" in worked:
        return Column(rig, worked)
    report = worked["report"]
    return Column(
        rig,
        worked,
        read_for_team(text),
        report["haul"] or report["lower"],
        bool(report["haul"]),
        worst_of(report),
        anchors_of(report),
        failures_of(report),
        report["holding"]["hands_off"],
        asked,
    )


def _with_mass(text: str, mass: float) -> tuple[str, str]:
    """A text with another mass of the load that it moves, at rest of the first person, else of the first
    load; with the name of that load.
    """
    read = read_for_team(text)
    motion = read.haul or read.lower
    people = [load.name for load in read.loads.values() if load.kind != "object"]
    name = motion.load if motion else next(iter(people or read.loads), "")
    if not name:
        return text, ""
    try:
        return change_part(text, name, {"mass": f"{mass:.10g} kg"}), name
    except EditError as error:
        raise MassError(f"the mass of {name} in “{read.rig}” can't be changed: {error}") from None


def differences_of(columns: Sequence[Column]) -> list[str]:
    """What differs between rigs, in sentences; nothing where there are not two to compare."""
    usable = [column for column in columns if column.usable]
    if len(usable) < 2:
        return []
    units = rules_now().units
    said = [_jobs(usable, units), *_own_rules(usable), _verdicts(usable)]
    moving = [column for column in usable if column.moves]
    if len(moving) > 1 and len({column.hauls for column in moving}) == 1:
        hand = "Hand force" if moving[0].hauls else "Held at the hand"
        said += [
            _figures(
                moving, lambda c: c.motion["hand_force_N"]["likely"], hand, partial(show_force, units=units)
            ),
            _figures(
                moving,
                lambda c: c.motion["rope_per_metre"],
                "Rope through the hand for each metre of load",
                partial(show_length, units=units),
            ),
            _counts(moving),
        ]
    anchor = "Greatest load on one anchor"
    said.append(_figures(usable, _most_on_anchor, anchor, partial(show_force, units=units)))
    said.append(_margins(usable))
    said.append(_failing(usable))
    said.append(_hands_off(usable))
    said.append(_gear(usable))
    return [sentence for sentence in said if sentence]


def _name(column: Column) -> str:
    return f"“{column.rig}”"


def _most_on_anchor(column: Column) -> float | None:
    return max((part["load_N"] for part in column.anchors), default=None)


def _figures(
    columns: Sequence[Column], figure: Callable[[Any], float | None], what: str, shown: Callable[[float], str]
) -> str:
    """One figure of every rig, the least first; how many times it the greatest is; "" where all agree."""
    found = sorted(((value, c) for c in columns if (value := figure(c)) is not None), key=lambda f: f[0])
    if len(found) < 2 or found[-1][0] - found[0][0] <= ALIKE * abs(found[-1][0]):
        return ""
    low, high = found[0][0], found[-1][0]
    times = f", {high / low:.1f} times as much" if low > 0 else ""
    return f"{what}: {', '.join(f'{_name(column)} {shown(value)}' for value, column in found)}{times}."


def _jobs(columns: Sequence[Column], units: Units) -> str:
    """Whether they do the same work: figures of other loads or ways can't be set side by side."""
    jobs = []
    for column in columns:
        motion = column.motion
        load = column.read.loads.get(motion["load"]) if column.read and motion else None
        if motion is None:
            jobs.append((column, "stands at rest"))
            continue
        way = show_length(motion["distance_m"], units)
        mass = f" of {show_mass(load.mass.likely, units)}" if load else ""
        jobs.append((column, f"{'hauls' if column.hauls else 'lowers'} a load{mass} by {way}"))
    if len({job for _, job in jobs}) == 1:
        return ""
    told = "; ".join(f"{_name(column)} {job}" for column, job in jobs)
    return f"They don't do the same job: {told}. Read their forces with that in mind."


def _verdicts(columns: Sequence[Column]) -> str:
    within = [column for column in columns if column.worked["within"]]
    if len(within) in (0, len(columns)):
        return ""
    outside = [column for column in columns if not column.worked["within"]]
    return (
        f"Within policy: {', '.join(map(_name, within))}. Outside policy: {', '.join(map(_name, outside))}."
    )


def _own_rules(columns: Sequence[Column]) -> Iterator[str]:
    """Rigs that are not judged by the team's rules alone: their verdicts are not alike."""
    for column in columns:
        own = column.worked["own"]
        if own["mark"]:
            yield f"{_name(column)} is judged by rules of its own: {own['told']}."


def _counts(columns: Sequence[Column]) -> str:
    counts = [(column, column.motion["counted"]) for column in columns if column.motion]
    if len({count for _, count in counts}) == 1:
        return ""
    told = ", ".join(f"{_name(column)} {count or 'no count'}" for column, count in counts)
    return f"Counted: {told}."


def _margins(columns: Sequence[Column]) -> str:
    found = sorted(((c.worst["share"], c) for c in columns if c.worst), key=lambda each: each[0])
    if len(found) < 2 or found[-1][0] - found[0][0] <= ALIKE * found[-1][0]:
        return ""
    column = found[0][1]
    worst = column.worst or {}
    return (
        f"{_name(column)} has the least margin: {worst['part']} with a factor of {worst['factor']:.3g}, "
        f"where {worst['required']:.3g} is asked."
    )


def _failing(columns: Sequence[Column]) -> str:
    told = [(column, column.after) for column in columns if column.after]
    if len({after.falls for _, after in told}) == 1:
        return ""
    said = "; ".join(
        f"{_name(column)} drops a load{', or is not worked out,' if after.unknown else ''} "
        f"in {after.falls} of {after.count} cases"
        if after.falls
        else f"{_name(column)} drops none"
        for column, after in told
    )
    return f"When any one thing fails: {said}."


def _gear(columns: Sequence[Column]) -> str:
    if len({column.gear for column in columns}) == 1:
        return ""
    return f"Pieces of gear: {', '.join(f'{_name(column)} {column.gear}' for column in columns)}."


def _hands_off(columns: Sequence[Column]) -> str:
    if len({bool(column.dropped) for column in columns}) == 1:
        return ""
    said = []
    for column in columns:
        loads = ", ".join(outcome["load"] for outcome in column.dropped)
        said.append(f"{_name(column)} {f'lets {loads} down' if loads else 'holds'}")
    return f"With every hand off: {'; '.join(said)}."
