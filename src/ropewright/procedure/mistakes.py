"""What every mistake leads to, which steps are critical for it, and where a check is missing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from ropewright.catalogue import Catalogue

from .acts import do
from .model import Procedure, Step
from .moment import Moment
from .prove import Played, Proof, prove, run
from .rules import Fault, amiss
from .slips import Slip, SlipKind, slips
from .world import World

__all__ = ["CONSEQUENCES", "Consequence", "MissingCheck", "Mistake", "Mistakes", "mistakes"]

Consequence = Literal["nothing", "caution", "stuck", "outside policy", "runs", "falls"]
CONSEQUENCES: tuple[Consequence, ...] = ("nothing", "caution", "stuck", "outside policy", "runs", "falls")
"""From the lightest to the gravest."""

_OF_KIND: Mapping[str, Consequence] = {
    "falls": "falls",
    "drops": "falls",
    "runs": "runs",
    "loaded": "stuck",
    "reach": "stuck",
    "hands": "stuck",
    "cannot": "stuck",
}
_CATCHES = "check-finds"
_NOT_TESTED = "not-tested"


@dataclass(frozen=True, slots=True)
class Mistake:
    """A mistake and what it leads to.

    ``n``: the step where it is made; ``consequence``, first seen ``at`` a step, told in ``text``; ``drop``
    [m] where somebody falls; ``caught_by``: the check that would have found it by then, a step's number;
    ``chains``: how many are left where that is the trouble; ``untested``: what comes off, in words, while
    what is then left to hold was not tested.
    """

    kind: SlipKind
    n: int
    what: str
    consequence: Consequence
    at: int | None
    text: str
    drop: float | None = None
    caught_by: int | None = None
    chains: int | None = None
    untested: str = ""

    @property
    def omits_test(self) -> bool:
        """Whether the steps go on without the one left out, which would have tested what is left to hold."""
        return self.kind == "left out" and self.consequence == "caution" and bool(self.untested)

    @property
    def grave(self) -> bool:
        """Whether it leaves somebody with less than the policy asks for, or lets them fall."""
        return self.consequence in ("outside policy", "runs", "falls")

    @property
    def kills(self) -> bool:
        """Whether somebody falls or runs down."""
        return self.consequence in ("runs", "falls")


@dataclass(frozen=True, slots=True)
class MissingCheck:
    """A grave mistake that nothing catches: the check proposed, before which step, by whom."""

    mistake: Mistake
    before: int
    doer: str
    proposed: str
    text: str


@dataclass(frozen=True)
class Mistakes:
    """All mistakes of a procedure, the steps critical for them and why, and checks that are missing."""

    proof: Proof
    all: tuple[Mistake, ...]
    critical: Mapping[int, str]
    missing: tuple[MissingCheck, ...]


def mistakes(
    procedure: Procedure,
    catalogue: Catalogue,
    world: World | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Mistakes:
    """Make every mistake once and see what the model says.

    ``progress``: called with how many are done, of how many.
    """
    world = world or World(procedure, catalogue)
    proof = prove(procedure, catalogue, world, failing=False)
    every = list(slips(world, proof))
    made = []
    for k, slip in enumerate(every):
        made.append(_made(world, proof, slip))
        if progress is not None:
            progress(k + 1, len(every))
    found = [each.mistake for each in made]
    return Mistakes(proof, tuple(found), _critical(found), tuple(_missing(world, proof, made)))


@dataclass(frozen=True, slots=True)
class _Made:
    """A mistake, and the moment before the step at which it shows."""

    mistake: Mistake
    before: Moment | None


def _made(world: World, proof: Proof, slip: Slip) -> _Made:
    """Play the steps as they are done with the mistake, until somebody falls or nothing goes on."""
    moment = proof.steps[slip.first].before
    since = _since(world, proof, slip.first)
    usual = {(p.n, f.kind, f.about) for p in proof.steps for f in p.faults}
    told = {f.text for p in proof.steps for f in p.faults}
    worst = Mistake(slip.kind, slip.n, slip.what, "nothing", None, "nothing comes of it")
    before: Moment | None = None
    caught: int | None = None
    for number, step in zip(slip.numbers, slip.steps, strict=True):
        played = run(world, moment, [step], since, number)[0]
        moment = played.after
        since = {key: since.get(key, number) for key in amiss(world, moment)}
        fresh = [f for f in played.faults if (number, f.kind, f.about) not in usual and f.kind != "still"]
        if caught is None and any(f.kind == _CATCHES for f in fresh):
            caught = number
        now = _worse(worst, played, fresh, caught)
        if now.at != worst.at:
            before = played.before
        untested = next((f.text for f in fresh if f.kind == _NOT_TESTED and f.text not in told), "")
        worst = replace(now, untested=now.untested or untested)
        if worst.consequence in ("falls", "runs"):
            break
        if slip.kind == "left out" and not played.done:
            continue  # whoever believes that it was done believes it of what goes with it, too
        if not played.done or any(_stops(f) for f in fresh):
            break
    return _Made(worst, before)


def _stops(fault: Fault) -> bool:
    return _OF_KIND.get(fault.kind) == "stuck"


def _since(world: World, proof: Proof, first: int) -> dict[tuple[str, str], int]:
    """What was amiss already before a step, and since which."""
    since = dict.fromkeys(amiss(world, proof.start), 0)
    for played in proof.steps[:first]:
        since = {key: since.get(key, played.n) for key in amiss(world, played.after)}
    return since


def _worse(worst: Mistake, played: Played, fresh: list[Fault], caught: int | None) -> Mistake:
    stopped = [fault for fault in fresh if _stops(fault)]
    for fault in stopped or fresh:  # what can't be done has no consequence but that nothing goes on
        if fault.kind == _CATCHES:
            continue
        now = _OF_KIND.get(fault.kind, "outside policy" if fault.level == "refused" else "caution")
        if CONSEQUENCES.index(now) > CONSEQUENCES.index(worst.consequence):
            worst = replace(
                worst,
                consequence=now,
                at=played.n,
                text=fault.text,
                drop=fault.drop,
                caught_by=caught,
                chains=fault.count,
            )
    if worst.consequence == "nothing" and caught is not None:
        worst = replace(worst, caught_by=caught, text="nothing comes of it, and a check finds it")
    return worst


# --- what follows


def _critical(found: list[Mistake]) -> dict[int, str]:
    """The steps at which a mistake is grave, and those at which it then bites, each with the gravest.

    A step is critical, too, where leaving it out puts somebody's weight on what was not tested.
    """
    out: dict[int, Mistake] = {}
    bites: dict[int, Mistake] = {}
    for mistake in found:
        if not mistake.grave or mistake.at is None:
            continue
        for steps, n in ((out, mistake.n), (bites, mistake.at)):
            best = steps.get(n)
            if best is None or _rank(mistake) > _rank(best):
                steps[n] = mistake
    said = {n: f"{m.kind}: {m.text}" for n, m in out.items()}
    said = {m.n: f"{m.kind}: {m.untested}" for m in found if m.omits_test} | said
    said |= {
        n: f"after a mistake at step {m.n} ({m.what}): {m.text}" for n, m in bites.items() if n not in said
    }
    return dict(sorted(said.items()))


def _rank(mistake: Mistake) -> tuple[int, int, bool]:
    fewer = -(mistake.chains if mistake.chains is not None else 9)
    return CONSEQUENCES.index(mistake.consequence), fewer, mistake.kind == "left out"


def _missing(world: World, proof: Proof, made: list[_Made]) -> Iterator[MissingCheck]:
    """Grave mistakes that no check finds before they bite, one proposal for each thing to look at.

    A check is proposed only where it would have found the mistake; else a hold point that the doer waits
    for.
    """
    seen: set[tuple[int, str]] = set()
    for each in sorted(made, key=lambda m: _rank(m.mistake), reverse=True):
        mistake = each.mistake
        if not mistake.grave or mistake.caught_by is not None or mistake.at is None:
            continue
        step = proof.procedure.steps[mistake.n - 1]
        doer = _other(proof, step.doer)
        look = _look(step, doer)
        if each.before is not None and _finds(world, look, each.before):
            proposed, text = look.text, "nobody looks before it bites"
        elif _held_back(proof.procedure.steps, mistake.at):
            continue
        else:
            proposed, text = "call go", "nobody holds the step back until what it needs is there"
        if (mistake.at, proposed) in seen:
            continue
        seen.add((mistake.at, proposed))
        yield MissingCheck(mistake, mistake.at, doer, proposed, text)


def _look(step: Step, doer: str) -> Step:
    """A second person's check of what a step was about."""
    name = step.gear or step.rope or step.part or step.load
    return Step(doer, "check", names=(name,) if name else (), text=f"check {name}")


def _finds(world: World, look: Step, moment: Moment) -> bool:
    change = do(look, moment, world)
    return bool(change.catches or change.notices)


def _held_back(steps: tuple[Step, ...], n: int) -> bool:
    """Whether somebody else's call or check stands right before a step, for which its doer waits."""
    if n < 2:
        return False
    before, step = steps[n - 2], steps[n - 1]
    return (before.is_call or before.is_check) and before.doer != step.doer


def _other(proof: Proof, doer: str) -> str:
    """Somebody else of the people, or the doer where there is nobody: first who stands beside the ropes, then
    who does something of the procedure; a person who is only moved in it is asked last.
    """
    people, doing = proof.procedure.people, {step.doer for step in proof.procedure.steps}
    others = [name for name in people if name != doer]
    return min(others, key=lambda name: 0 if people[name].at else 1 if name in doing else 2, default=doer)
