"""What doing a step gives: the moment after, moments on the way, and why it can't be done."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from ropewright.procedure.model import Step
from ropewright.procedure.moment import Moment
from ropewright.procedure.world import Hindrance, World
from ropewright.quantity import show_force, show_length

__all__ = [
    "CannotError",
    "Change",
    "free_hands",
    "must_be_free",
    "must_be_on",
    "must_be_within",
    "must_reach",
    "on_rope",
    "rigged",
]


class CannotError(Exception):
    """A step that can't be done as things stand: why, and what to do first."""

    def __init__(self, text: str, fix: str = "") -> None:
        super().__init__(text)
        self.fix = fix


@dataclass(frozen=True)
class Change:
    """What a step does: the moment ``after``, before it comes to rest; moments ``during`` passed on the way.

    ``goes_down`` [m]: how far loads may sink because that is what the step is for; ``removed``: gear that
    this step takes off a rope or out of the system; ``hauled``: ropes by which hands had to raise a load;
    ``catches``: what a check finds, ``notices``: what it sees that may still come; ``hindrances``: what
    keeps people from doing it though the rig allows it.
    """

    after: Moment
    during: tuple[Moment, ...] = ()
    goes_down: float = 0.0
    removed: tuple[str, ...] = ()
    hauled: tuple[str, ...] = ()
    catches: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
    hindrances: tuple[Hindrance, ...] = ()


def rigged(moment: Moment, world: World, name: str) -> None:
    """Refuse gear that is not on the rig at this moment."""
    if name in moment.rig.gear:
        return
    yet = "yet" if name in world.procedure.kit else "any more"
    raise CannotError(f"{name} is not on the rig {yet}", f"clip {name} first")


def on_rope(moment: Moment, rope: str, gear: str, sheave: int | None = None) -> int:
    """The contact of a rope at gear; refused where it is not on that rope."""
    k = moment.on(rope, gear, sheave)
    if k is None:
        where = f"{gear}.{sheave}" if sheave and sheave > 1 else gear
        raise CannotError(f"{rope} does not run through {where}")
    return k


def must_be_on(moment: Moment, step: Step) -> None:
    """Refuse a step beside something that its rope does not meet."""
    if step.beside and all(c.target != step.beside for c in moment.rig.ropes[step.rope].run):
        raise CannotError(f"{step.beside} is not on {step.rope}, so nothing can be put beside it")


def must_be_free(moment: Moment, world: World, gear: str, doing: str) -> None:
    """Note that what bears weight can't be taken off or undone, unless it is made to be."""
    from ropewright.procedure.hanging import BEARS

    hung = world.hang(moment)
    force = hung.bears.get(gear, 0.0)
    if force > BEARS and not world.type_of(moment, gear).holding.comes_off_under_load:
        world.note(
            "loaded",
            f"{gear} bears {show_force(force)} and can't be {doing}",
            f"take the weight off {gear} first",
        )


def must_reach(moment: Moment, world: World, step: Step, *parts: str) -> None:
    """Note what the doer can't reach: an arm's length on rope, a step further where somebody stands."""
    if step.doer not in moment.state.at:
        return
    for part in parts:
        if part not in moment.state.at or part == step.doer:
            continue
        must_be_within(moment.apart(step.doer, part), moment, world, step, part)


def must_be_within(away: float, moment: Moment, world: World, step: Step, part: str) -> None:
    """Note what is further ``away`` [m] from the doer than they reach."""
    stands = step.doer in moment.rig.crews or moment.standing(step.doer) is not None
    reach = world.policy.number("reach-standing" if stands else "reach-on-rope") or inf
    if away > reach + 1e-6:
        world.note(
            "reach",
            f"{part} is {show_length(away)} from {step.doer}, who reaches {show_length(reach)}",
            "move closer, or give the step to somebody who is there",
        )


def free_hands(moment: Moment, world: World, step: Step, needed: int = 1) -> None:
    """Note a doer who has not hands enough free; a crew has two for each of its people."""
    crew = moment.rig.crews.get(step.doer)
    hands = 2 * (crew.people if crew else 1)
    full = moment.full_hands(step.doer)
    if hands - full < needed:
        has = "no hand free" if hands - full <= 0 else "only one hand free"
        world.note(
            "hands",
            f"{step.doer} has {has}, and this takes {needed}",
            "lock the device off and take the hand off first, or give the step to somebody else",
        )
