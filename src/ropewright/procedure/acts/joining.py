"""Clip, unclip, lock and unlock a gate; tie and untie."""

from __future__ import annotations

from dataclasses import replace

from ropewright.judgement.state import State
from ropewright.procedure.hanging import BEARS
from ropewright.procedure.laying import lay_in, place_for, take_out, without_rope
from ropewright.procedure.model import Step
from ropewright.procedure.moment import Moment, with_rope
from ropewright.procedure.world import World
from ropewright.quantity import show_force
from ropewright.rig import Contact, Gear, clipped_on

from .base import CannotError, Change, free_hands, must_be_free, must_be_on, must_reach, rigged

__all__ = ["clip", "gate", "tie", "unclip", "untie"]

_JOIN = "carabiner-locking"


def clip(step: Step, moment: Moment, world: World) -> Change:
    """Join gear to something. Its gate stands unlocked until it is locked."""
    free_hands(moment, world, step)
    if step.part not in moment.state.at:
        raise CannotError(f"{step.part} is not on the rig yet", f"clip {step.part} first")
    must_reach(moment, world, step, step.part)
    item = moment.rig.gear.get(step.gear) or world.at_hand(step.gear)
    if item is None:
        raise CannotError(f"{step.gear} is not there")
    if isinstance(item.at, str) and step.gear in moment.rig.gear:
        raise CannotError(f"{step.gear} is clipped to {item.at} already", f"unclip {step.gear} first")
    if step.part == step.gear or step.part in clipped_on(moment.rig, step.gear):
        raise CannotError(f"{step.part} hangs on {step.gear} itself", "clip it to something that stays")
    via = step.via or item.via or (_JOIN,)
    placed = replace(item, at=step.part, via=via)
    at = {**moment.state.at, step.gear: moment.state.at[step.part].copy()}
    for child in clipped_on(moment.rig, step.gear):
        at[child] = at[step.gear]
    after = replace(moment.with_gear(placed), state=State(at, moment.state.laid)).forget(step.gear)
    if moment.ropes_of(step.gear):  # clipped where its rope is held by something else: that still bears
        after = replace(after, unset=after.unset | {step.gear})
    unlocked = after.unlocked - {step.gear} if step.locked else after.unlocked | {step.gear}
    return Change(replace(after, unlocked=unlocked))


def unclip(step: Step, moment: Moment, world: World) -> Change:
    """Undo what joins gear to its place; gear on no rope goes back into the kit."""
    rigged(moment, world, step.gear)
    item = moment.rig.gear[step.gear]
    if not isinstance(item.at, str):
        raise CannotError(f"{step.gear} is clipped to nothing")
    free_hands(moment, world, step)
    must_reach(moment, world, step, step.gear)
    must_be_free(moment, world, step.gear, "unclipped")
    return Change(_let_go_of(moment, item), removed=(step.gear,))


def _let_go_of(moment: Moment, item: Gear) -> Moment:
    loose = replace(item, at=None, via=())
    after = moment.with_gear(loose).forget(item.name)
    after = replace(after, unlocked=after.unlocked - {item.name})
    used = moment.ropes_of(item.name) or any(
        c.target == item.name for rope in moment.rig.ropes.values() for c in rope.run
    )
    if used or clipped_on(moment.rig, item.name):
        return after
    return after.without_gear(item.name)


def gate(step: Step, moment: Moment, world: World) -> Change:
    """Lock or unlock what joins gear to its place."""
    rigged(moment, world, step.gear)
    if not isinstance(moment.rig.gear[step.gear].at, str):
        raise CannotError(f"{step.gear} is clipped to nothing, so it has no gate to {step.verb}")
    free_hands(moment, world, step)
    must_reach(moment, world, step, step.gear)
    unlocked = moment.unlocked - {step.gear} if step.verb == "lock" else moment.unlocked | {step.gear}
    return Change(replace(moment, unlocked=unlocked))


def tie(step: Step, moment: Moment, world: World) -> Change:
    """Make a rope fast to something; a rope brought along begins there."""
    free_hands(moment, world, step, 2)
    if step.part not in moment.state.at:
        raise CannotError(f"{step.part} is not on the rig yet", f"clip {step.part} first")
    must_reach(moment, world, step, step.part)
    knot = Contact("tie", step.part, knot=step.knot or "figure-eight-bight")
    rope = moment.rig.ropes.get(step.rope)
    if rope is None:
        begun = replace(world.rope_at_hand(step.rope), run=(knot, Contact("tail")))
        return Change(with_rope(moment, begun, [0.0]))
    must_be_on(moment, step)
    k = place_for(moment, step.rope, step.beside, step.side)
    return Change(lay_in(moment, step.rope, k, knot, step.slack))


def untie(step: Step, moment: Moment, world: World) -> Change:
    """Undo a knot; a rope that then meets nothing else goes back into the kit."""
    rope = moment.rig.ropes.get(step.rope)
    run = rope.run if rope else ()
    k = next((i for i, c in enumerate(run) if c.verb == "tie" and c.target == step.part), None)
    if rope is None or k is None:
        raise CannotError(f"{step.rope} is not tied to {step.part}")
    free_hands(moment, world, step, 2)
    must_reach(moment, world, step, step.part)
    force = world.hang(moment).bears_at(step.rope, k)
    if force > BEARS:
        world.note(
            "loaded",
            f"{step.rope} pulls with {show_force(force)} on its knot at {step.part}, which can't be untied",
            f"take the weight off {step.rope} first",
        )
    if sum(c.verb != "tail" for c in run) <= 1:
        return Change(without_rope(moment, step.rope))
    after = take_out(moment, step.rope, k)
    if k in (0, len(run) - 1):  # an end comes loose
        left = after.rig.ropes[step.rope]
        loose = Contact("tail")
        where = 0 if k == 0 else len(left.run)
        if left.run[0 if k == 0 else -1].verb not in ("tail", "hand"):
            after = lay_in(after, step.rope, where, loose)
    return Change(after)
