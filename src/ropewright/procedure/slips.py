"""The mistakes that people make in a procedure: each gives the steps as they are then done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from .model import Step
from .moment import Moment
from .prove import Proof
from .world import World

__all__ = ["Slip", "SlipKind", "slips"]

SlipKind = Literal[
    "left out", "swapped", "wrong way round", "gate left unlocked", "hand off early", "wrong one"
]


@dataclass(frozen=True, slots=True)
class Slip:
    """One mistake: its kind, the step ``n`` (from 1) where it is made, what it is in words, the steps from
    ``first`` (an index) on as they are then done, and the number that each of them has in the procedure.
    """

    kind: SlipKind
    n: int
    what: str
    first: int
    steps: tuple[Step, ...]
    numbers: tuple[int, ...]


def slips(world: World, proof: Proof) -> Iterator[Slip]:
    """Every mistake of the kinds above, step by step."""
    steps = proof.procedure.steps
    for k, step in enumerate(steps):
        moment = proof.steps[k].before
        yield _slip("left out", steps, k, f"left out: {step.text}", ())
        if k + 1 < len(steps) and not (_looks(step) and _looks(steps[k + 1])):
            yield _swapped(steps, k)
        if step.verb == "put" and _turns(world, moment, step):
            text = f"{step.gear} put on {step.rope} the wrong way round"
            yield _slip("wrong way round", steps, k, text, (replace(step, reversed=not step.reversed),))
        if step.verb == "clip" and step.locked:
            text = f"the gate of {step.gear} left unlocked"
            yield _slip("gate left unlocked", steps, k, text, (replace(step, locked=False),))
        for other, text in _others(world, moment, step):
            yield _slip("wrong one", steps, k, text, (other,))


def _looks(step: Step) -> bool:
    return step.is_check or step.is_call


def _turns(world: World, moment: Moment, step: Step) -> bool:
    return world.type_of(moment, step.gear).family in ("device", "grab")


def _slip(kind: SlipKind, steps: tuple[Step, ...], k: int, what: str, instead: tuple[Step, ...]) -> Slip:
    numbers = (*((k + 1,) * len(instead)), *range(k + 2, len(steps) + 1))
    return Slip(kind, k + 1, what, k, (*instead, *steps[k + 1 :]), numbers)


def _swapped(steps: tuple[Step, ...], k: int) -> Slip:
    early, late = steps[k + 1], steps[k]
    kind: SlipKind = "hand off early" if early.verb == "hand-off" else "swapped"
    what = f"{early.text}, before: {late.text}"
    numbers = (k + 2, k + 1, *range(k + 3, len(steps) + 1))
    return Slip(kind, k + 2, what, k, (early, late, *steps[k + 2 :]), numbers)


def _others(world: World, moment: Moment, step: Step) -> Iterator[tuple[Step, str]]:
    """The step done to another like thing that is there: other gear of its family, another rope."""
    if _looks(step):
        return
    if step.gear in moment.rig.gear:
        family = world.type_of(moment, step.gear).family
        for name, item in moment.rig.gear.items():
            kind = world.catalogue[item.type]
            if (
                name != step.gear
                and kind.family == family
                and bool(moment.ropes_of(name)) == _is_on(moment, step)
            ):
                done = step.text.replace(step.gear, name)
                yield replace(step, gear=name, text=done), f"{done}, instead of: {step.text}"
    if step.rope in moment.rig.ropes and step.verb in ("put", "tie", "hand-on", "reeve", "untie"):
        for name, rope in moment.rig.ropes.items():
            if name != step.rope and world.catalogue[rope.type].holding.life_support:
                there = not step.beside or any(c.target == step.beside for c in rope.run)
                done = step.text.replace(step.rope, name)
                other = replace(step, rope=name, text=done)
                if not there:
                    other = replace(other, beside="", side="")
                yield other, f"{done}, instead of: {step.text}"


def _is_on(moment: Moment, step: Step) -> bool:
    return bool(moment.ropes_of(step.gear))
