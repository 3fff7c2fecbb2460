"""The proof: each step done in turn, and before, during and after it everybody looked at by the model."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from ropewright.catalogue import Catalogue
from ropewright.quantity import Units, show_range

from .acts import CannotError, Change, do
from .exposure import too_far
from .hanging import BEARS
from .model import Procedure, Step
from .moment import Moment
from .rules import Fault, amiss, judged, people, still
from .world import World, beginning

__all__ = ["Held", "Played", "Proof", "Verdict", "as_entered", "play", "prove", "run"]

Verdict = Literal["ok", "caution", "refused"]


@dataclass(frozen=True, slots=True)
class Held:
    """How a load is held: independent chains, how many of them with every hand off, by which ropes."""

    chains: int
    hands_off: int
    ropes: tuple[str, ...]


@dataclass(frozen=True)
class Played:
    """A step as it was played: moments before and after, at rest, what is wrong, and who is held.

    ``done`` is False where the step could not be done; then ``after`` is ``before``.
    """

    n: int
    step: Step
    before: Moment
    after: Moment
    done: bool
    change: Change | None
    faults: tuple[Fault, ...]
    held: Mapping[str, Held]

    @property
    def verdict(self) -> Verdict:
        """The worst of what is wrong."""
        levels = {fault.level for fault in self.faults}
        return "refused" if "refused" in levels else "caution" if levels else "ok"


@dataclass(frozen=True)
class Proof:
    """A whole procedure as proved: the start, what is wrong with it, and every step."""

    procedure: Procedure
    start: Moment
    start_faults: tuple[Fault, ...]
    start_held: Mapping[str, Held]
    steps: tuple[Played, ...]

    @property
    def proved(self) -> bool:
        """Whether nothing is refused, at the start or at any step."""
        return not self.start_faults and all(p.verdict != "refused" for p in self.steps)

    @property
    def cautions(self) -> int:
        """How many steps have a caution and are not refused."""
        return sum(p.verdict == "caution" for p in self.steps)

    @property
    def headline(self) -> str:
        """What the proof found, in words that promise nothing and leave no caution out: `no step refused, 2
        cautions`.
        """
        verdict = "no step refused" if self.proved else "not proved"
        return verdict + told_cautions(self.cautions)

    @property
    def end(self) -> Moment:
        """The last moment."""
        return self.steps[-1].after if self.steps else self.start


def prove(
    procedure: Procedure, catalogue: Catalogue, world: World | None = None, *, failing: bool = True
) -> Proof:
    """Play a procedure from its start and look at every moment of it.

    ``failing``: also let every single thing fail at every moment, which takes most of the time: a chain that
    catches only after more than the policy's ``most-drop``, or on the ground, is none.
    """
    world = world or World(procedure, catalogue)
    start = beginning(world)
    faults = amiss(world, start)
    steps = run(world, start, procedure.steps, since=dict.fromkeys(faults, 0))
    begun = tuple(faults.values())
    if failing:
        known = {fault.about for fault in begun if fault.kind in _HELD}
        fails = [fault for fault in too_far(world, start) if fault.about not in known]
        begun += tuple(fails)
        steps = _with_failures(world, steps, {fault.about: 0 for fault in fails})
    return Proof(procedure, start, begun, held_by(world, start), tuple(steps))


def as_entered(procedure: Procedure, units: Units = "both") -> str:
    """Under what a proof was found: `by the model, as entered (student 95 kg)`."""
    loads = [f"{load.name} {show_range(load.mass, 'mass', units)}" for load in procedure.rig.loads.values()]
    return f"by the model, as entered ({', '.join(loads)})" if loads else "by the model, as entered"


def told_cautions(count: int) -> str:
    """What follows a verdict: `, 2 cautions`; nothing where there is none."""
    return f", {count} caution{'' if count == 1 else 's'}" if count else ""


def told_missing(count: int) -> str:
    """What follows a verdict where mistakes were tried: `; 2 checks missing`; nothing where none is."""
    return f"; {count} check{'' if count == 1 else 's'} missing" if count else ""


_HELD = ("too-few-chains", "too-few-hands-off", "falls", "runs")
"""Kinds that say already that somebody would fall."""


def _with_failures(world: World, steps: list[Played], since: dict[str, int]) -> list[Played]:
    """The steps with what a single failure would do after each, and since which step (``since``)."""
    out = []
    for played in steps:
        said = {f.about for f in amiss(world, played.after).values() if f.kind in _HELD}
        now = {f.about: f for f in too_far(world, played.after) if f.about not in said}
        told = tuple(still(f, since[about]) if about in since else f for about, f in now.items())
        out.append(replace(played, faults=(*played.faults, *told)) if told else played)
        since = {about: since.get(about, played.n) for about in now}
    return out


def run(
    world: World,
    moment: Moment,
    steps: Iterable[Step],
    since: dict[tuple[str, str], int] | None = None,
    first: int = 1,
) -> list[Played]:
    """Play steps one after the other from a moment. ``since``: what is wrong already, and from which step."""
    out, since = [], dict(since or {})
    for n, step in enumerate(steps, first):
        played = play(world, n, step, moment, since)
        moment = played.after
        now = amiss(world, moment)
        since = {key: since.get(key, n) for key in now}
        out.append(played)
    return out


def play(world: World, n: int, step: Step, before: Moment, since: dict[tuple[str, str], int]) -> Played:
    """Play one step."""
    try:
        change = do(step, before, world)
    except CannotError as error:
        fault = Fault("cannot", step.gear or step.rope or step.load, "refused", str(error), error.fix)
        return Played(n, step, before, before, False, None, (fault,), held_by(world, before))
    after = _settled(world, before, change)
    faults = judged(world, step, before, change, after, since)
    return Played(n, step, before, after, True, change, tuple(faults), held_by(world, after))


def _settled(world: World, before: Moment, change: Change) -> Moment:
    """The moment after a step, at rest, with what has borne weight by now."""
    if change.after is before:
        return before
    hung = world.hang(change.after)
    after = hung.moment
    bearing = {name for name, force in hung.bears.items() if force > BEARS}
    known = frozenset(after.rig.gear)
    return replace(
        after,
        loaded=(change.after.loaded | bearing) & known,
        tested=change.after.tested & known,
    )


def held_by(world: World, moment: Moment) -> dict[str, Held]:
    """How each person and litter that hangs is held."""
    chains = world.chains(moment)
    hung = world.hang(moment)
    out = {}
    for load in people(moment):
        holding = chains[load.name]
        ropes = tuple(" and ".join(chain.ropes) for chain in holding.independent)
        real = hung.held[load.name]
        out[load.name] = Held(
            len(ropes) if real else 0, holding.hands_off if real else 0, ropes if real else ()
        )
    return out
