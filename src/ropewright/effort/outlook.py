"""What a rig asks of one person after another: pull, strokes, resets, rope, work and time, and who can."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ropewright.effort.crew import (
    EXACT,
    Crew,
    Haulers,
    crew_of_file,
    crew_of_number,
    crew_of_people,
    each_gives,
    haulers,
    own_pull,
    pulls_himself,
)
from ropewright.effort.limits import MassLimit, mass_limits
from ropewright.effort.profiles import profile
from ropewright.effort.pulls import Prepared, hand_forces
from ropewright.effort.ropes import line_needs
from ropewright.effort.roster import Person
from ropewright.judgement.lengths import RopeNeed
from ropewright.judgement.letting_go import let_go
from ropewright.judgement.moved import CannotMove, Moved
from ropewright.judgement.state import State
from ropewright.judgement.strokes import Strokes, strokes
from ropewright.mechanics import GRAVITY, as_it_stands
from ropewright.quantity import Range, Units, show_force, show_length, show_mass, show_range

__all__ = ["LIMITS", "Ask", "Outlook", "RigAnswer", "Verdict", "answer"]

Verdict = Literal["yes", "maybe", "not known", "no", "equipment limit"]
"""From the best to the worst: `equipment limit` is no failure of the person, who is not tested."""
ORDER: tuple[Verdict, ...] = ("yes", "maybe", "not known", "no", "equipment limit")
LIMITS: frozenset[Verdict] = frozenset({"not known", "no", "equipment limit"})
"""Verdicts with which somebody does not go on the rope."""


@dataclass(frozen=True, slots=True)
class Ask:
    """What one motion asks.

    ``force`` [N] at one hand, ``share`` of the weight of whoever pulls himself, else None; ``best`` and
    ``sustained`` crews, None for somebody who pulls or holds his own rope; ``pulls``: how many times the
    hands go out for rope; ``rope`` [m] through one hand; ``work`` [J]; ``time`` [s] is an energy bound.
    Lowering takes no work and has no bound.
    """

    direction: int
    hands: int
    himself: bool
    force: Range
    share: Range | None
    best: Haulers | None
    sustained: Haulers | None
    strokes: Strokes
    rope: float
    pulls: Range | None
    work: Range | None
    time: Range | None


@dataclass(frozen=True, slots=True)
class Outlook:
    """One person, or the load of the file, in one rig."""

    person: Person
    verdict: Verdict
    reasons: tuple[str, ...]
    asks: tuple[Ask, ...]


@dataclass(frozen=True)
class RigAnswer:
    """One rig and everybody asked about.

    ``of_load``: the rows are the load as the file has it, for a litter or a weight, which nobody takes the
    place of; ``left_out``: who is on the list and in no row. ``lines`` are the ropes, ``limits`` the gear's.
    """

    prepared: Prepared
    outlooks: tuple[Outlook, ...]
    of_load: bool
    crew: Crew | None
    left_out: tuple[Person, ...]
    lines: tuple[RopeNeed, ...]
    limits: tuple[MassLimit, ...]
    trouble: tuple[str, ...]

    @property
    def gear(self) -> int:
        """How many pieces of gear the rig takes."""
        return len(self.prepared.rig.gear)

    @property
    def rope_per_metre(self) -> float:
        """Rope [m] through one hand for each metre of the first motion; infinite where there is none."""
        return next((m.rope_per_metre for m in self.prepared.motions), float("inf"))

    @property
    def worst(self) -> Verdict:
        """The worst verdict of all."""
        return max((o.verdict for o in self.outlooks), key=ORDER.index, default="not known")


def answer(
    prepared: Prepared, people: Sequence[Person] = (), crew: int | None = None, units: Units = "both"
) -> RigAnswer:
    """Who of the people can work the rig.

    people: each is put in the place of the load where that is a person; a litter or a weight stays as the
        file has it, and the people are the haulers. None: the load of the file alone.
    crew: how many haul, the safety officer not counted; left out, those of the list, else those of the file.
    units: the units of the reasons in words.
    """
    load = prepared.rig.loads.get(prepared.load or "")
    if load is None:
        return RigAnswer(prepared, (), True, None, tuple(people), (), (), ("the file has no load",))
    of_load = load.kind != "person" or not people
    rows = [Person(load.name, load.mass)] if of_load else [p for p in people if p.role.rope]
    at_rope = people if of_load and load.kind != "person" else [p for p in people if p.role.name == "hauler"]
    hauling = next((m for m in prepared.motions if not pulls_himself(m)), None)
    hands = None if hauling is None else _crew(prepared, hauling, at_rope, crew)
    used = {p.name for p in rows} if not of_load else set()
    if hands is not None:
        used |= {p.name for p in at_rope if p.role.hauls}
    left = tuple(p for p in people if p.name not in used)
    judge = _Judge(prepared, hands, units)
    masses = [p.mass for p in rows]
    forces = [(m, hand_forces(prepared, m, masses)) for m in prepared.motions]
    outlooks = tuple(judge.outlook(p, [(m, found[p.mass]) for m, found in forces]) for p in rows)
    return RigAnswer(
        prepared, outlooks, of_load, hands, left, judge.lines, judge.limits, tuple(judge.trouble)
    )


def _crew(prepared: Prepared, moved: Moved, people: Sequence[Person], asked: int | None) -> Crew:
    if asked is not None:
        return crew_of_number(prepared, asked)
    return crew_of_people(prepared, people) if people else crew_of_file(prepared, moved)


class _Judge:
    """One rig's questions, worked out once for all people."""

    def __init__(self, prepared: Prepared, crew: Crew | None, units: Units) -> None:
        self.prepared, self.crew, self.units = prepared, crew, units
        self.lines, self.limits = line_needs(prepared), mass_limits(prepared)
        examination = prepared.examination()
        self.strokes = {m.direction: strokes(examination, m) for m in prepared.motions}
        self.each = each_gives(prepared)
        self.trouble: list[str] = []
        self.rig_reasons: list[tuple[Verdict, str]] = [*self._ropes(), *self._motions()]

    # --- what goes for everybody

    def _ropes(self) -> list[tuple[Verdict, str]]:
        out: list[tuple[Verdict, str]] = []
        for line in self.lines:
            needs = f"{line.rope} needs {show_length(line.needed, self.units)}"
            if line.has is None:
                out.append(("not known", f"nobody has said how long {line.rope} is; {needs}"))
            elif not line.is_enough(line.has):
                out.append(("no", f"{needs} and is {show_length(line.has, self.units)}: refused"))
        return out

    def _motions(self) -> list[tuple[Verdict, str]]:
        out: list[tuple[Verdict, str]] = []
        for found in (self.prepared.haul, self.prepared.lower):
            if isinstance(found, CannotMove):
                verb = "haul" if found.direction > 0 else "lower"
                out.append(("no", f"can't {verb} {found.load}: {found.text}"))
        if self.prepared.haul is None and self.prepared.lower is None:
            out.append(
                ("not known", "the file hauls and lowers nothing; only the gear's limits are compared")
            )
        for moved in self.prepared.motions:
            made = self.strokes[moved.direction]
            if made.meets is None:
                continue
            a, b = made.meets
            reach, goal = show_length(made.reach, self.units), show_length(made.asked, self.units)
            short = f"one stroke is {reach} of {goal}"
            if made.resets is None:
                out.append(("no", f"{short}: then {a} and {b} meet, and nothing there can be reset"))
            elif self._lets_go(moved):
                out.append(("no", f"{short}; nothing holds {moved.load} while {made.grab} is reset"))
        self.trouble = [text for _, text in out]
        return out

    def _lets_go(self, moved: Moved) -> bool:
        """Whether the load is held by nothing once every hand is off."""
        assembly = moved.assembly
        state: State = assembly.state(as_it_stands(assembly.system, moved.motion))
        rig, catalogue = self.prepared.rig, self.prepared.catalogue
        after = let_go(rig, catalogue, state, figures=assembly.figures, hands_off=True)
        return after.verdict(moved.load) != "held"

    # --- one person

    def outlook(self, person: Person, forces: Sequence[tuple[Moved, Range | None]]) -> Outlook:
        """Everything about one person; the worst reason gives the verdict."""
        found = [*self._limits(person), *self.rig_reasons]
        asks = []
        for moved, force in forces:
            if force is None:
                found.append(("not known", "no pull could be worked out for this mass"))
                continue
            ask = self._ask(person, moved, force)
            asks.append(ask)
            found.append(self._can(person, ask))
            found += self._policy(ask)
        worst: Verdict = max((v for v, _ in found), key=ORDER.index, default="not known")
        told = [text for v, text in sorted(found, key=lambda f: -ORDER.index(f[0])) if text]
        if worst == "equipment limit":  # what the person could pull is not asked
            told = [text for v, text in found if v == worst]
        return Outlook(person, worst, tuple(dict.fromkeys(told)), tuple(asks))

    def _limits(self, person: Person) -> list[tuple[Verdict, str]]:
        out: list[tuple[Verdict, str]] = []
        over = []
        for limit in self.limits:
            allowed = limit.allows(person.mass)
            if allowed is None and limit.type:
                out.append(("not known", f"nobody has said how many kilograms {limit.what} is rated for"))
            elif allowed is None:
                out.append(("not known", "the file does not say what carries the load"))
            elif not allowed and limit.most is not None:
                shared = f" with {show_mass(limit.others, self.units)} more on it" if limit.others else ""
                over.append(f"{limit.what} is rated for {show_mass(limit.most, self.units)}{shared}")
        if over:
            out.append(("equipment limit", f"not tested - equipment limit: {', '.join(over)}"))
        return out

    def _ask(self, person: Person, moved: Moved, force: Range) -> Ask:
        made, hands, himself = self.strokes[moved.direction], moved.hands, pulls_himself(moved)
        weight = person.mass.likely * GRAVITY
        share = Range(force.low / weight, force.likely / weight, force.high / weight) if himself else None
        rope = abs(made.rope)
        best = sustained = pulls = work = time = None
        if moved.direction > 0:
            if not himself:
                best, sustained = (haulers(force, hands, each) for each in self.each)
            reach = person.reach if himself and person.reach else None
            reach = reach or profile("self-haul-reach" if himself else "hauler-reach")
            pulls = Range(rope / reach.high, rope / reach.likely, rope / reach.low)
            work = Range(*(f * rope * hands for f in (force.low, force.likely, force.high)))
            people = 1 if sustained is None else sustained.likely
            people = self.crew.count if self.crew is not None and not himself and self.crew.count else people
            power = profile("power")
            time = Range(
                work.low / (people * power.high),
                work.likely / (people * power.likely),
                work.high / (people * power.low),
            )
        return Ask(
            moved.direction, hands, himself, force, share, best, sustained, made, rope, pulls, work, time
        )

    def _can(self, person: Person, ask: Ask) -> tuple[Verdict, str]:
        if ask.direction < 0:
            return self._brake(ask)
        if ask.himself:
            return self._himself(person, ask)
        assert ask.best is not None
        assert ask.sustained is not None
        low, high = ask.force.low * ask.hands, ask.force.high * ask.hands
        crew = self.crew
        if crew is None or crew.count == 0:
            return "no", "nobody on the list hauls"
        who = f"{crew.count} {'hauler' if crew.count == 1 else 'haulers'} {crew.said}"
        enough = crew.count >= ask.hands
        if enough and crew.sustained * (1 + EXACT) >= high:
            if crew.team is None or crew.team * (1 + EXACT) >= high:
                return "yes", ""
            as_stated = f"{show_force(crew.sustained, self.units)} together as stated"
            by_team = f"by the team's figure {show_force(crew.team, self.units)}, not surely enough"
            return "maybe", f"{who}: enough at {as_stated}; {by_team}"
        if enough and crew.best * (1 + EXACT) >= low:
            most = show_force(crew.best, self.units)
            word = "sustained" if crew.team is None else "as stated"
            return "maybe", f"{who}: enough at best case, {most} together, not surely enough {word}"
        return "no", f"{who}: too few"

    def _himself(self, person: Person, ask: Ask) -> tuple[Verdict, str]:
        if person.pull is not None:
            enough, high = person.pull.low, person.pull.high
            text = f"measured pull {show_range(person.pull, 'force', self.units)}"
        else:
            share = profile("self-haul-share")
            enough, high = own_pull(person.mass.likely)
            text = f"a pull of {100 * share.likely:.0f} % of body weight is counted on, "
            text += f"{100 * share.high:.0f} % from the strong (planning assumption)"
        if ask.force.high <= enough * (1 + EXACT):
            return "yes", ""
        return ("no" if ask.force.low > high else "maybe"), text

    def _brake(self, ask: Ask) -> tuple[Verdict, str]:
        """Whether one gloved hand, or a crew's, holds the rope that is paid out."""
        grip, most = self.prepared.policy.number("brake-hand") or 0.0, profile("grip-one-hand").high
        people = max(1, self.crew.count // ask.hands) if self.crew is not None and not ask.himself else 1
        text = f"one hand is counted on to hold {show_force(grip, self.units)}"
        if ask.force.high <= grip * people:
            return "yes", ""
        return ("maybe" if ask.force.low <= max(most, grip) * people else "no"), text

    def _policy(self, ask: Ask) -> list[tuple[Verdict, str]]:
        out: list[tuple[Verdict, str]] = []
        most = self.prepared.policy.number("most-haulers")
        if most is not None and ask.best is not None and ask.best.likely > most * ask.hands:
            out.append(("no", f"outside policy: {most:g} haulers at most on one line"))
        line = self.prepared.policy.number("most-pull-on-line")
        if line is not None and ask.direction > 0 and ask.force.high > line:
            out.append(("no", f"outside policy: {show_force(line, self.units)} at most on a line"))
        return out
