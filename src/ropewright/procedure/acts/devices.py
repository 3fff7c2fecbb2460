"""Hands and devices: a hand on a rope, a device held open, closed, locked off."""

from __future__ import annotations

from dataclasses import replace

from ropewright.procedure.laying import replace_contact
from ropewright.procedure.model import Step
from ropewright.procedure.moment import Moment
from ropewright.procedure.world import World
from ropewright.rig import Contact

from .base import CannotError, Change, free_hands, must_reach, rigged

__all__ = ["close", "hand_off", "hand_on", "lock_off", "open_device", "undo"]


def hand_on(step: Step, moment: Moment, world: World) -> Change:
    """Put a hand on a rope's free end."""
    rope = moment.rig.ropes.get(step.rope)
    if rope is None:
        raise CannotError(f"{step.rope} is not rigged")
    who = moment.hand_of(step.rope)
    if who is not None:
        raise CannotError(f"{who} has a hand on {step.rope} already")
    if rope.run[-1].verb != "tail":
        raise CannotError(
            f"{step.rope} has no free end to take hold of: it ends at {rope.run[-1].text or 'a knot'}"
        )
    free_hands(moment, world, step)
    k = len(rope.run) - 1
    after = replace_contact(moment, step.rope, k, Contact("hand", step.doer))
    before = rope.run[k - 1].target
    length = moment.apart(before, step.doer) if before else 0.0
    return Change(after.with_laid({(step.rope, k - 1): length}))


def hand_off(step: Step, moment: Moment, world: World) -> Change:
    """Take the hand off a rope; devices that were held open on it close."""
    rope = moment.rig.ropes.get(step.rope)
    who = moment.hand_of(step.rope) if rope else None
    if rope is None or who is None:
        raise CannotError(f"nobody has a hand on {step.rope}")
    if who != step.doer:
        raise CannotError(f"the hand on {step.rope} is {who}'s, not {step.doer}'s")
    end = len(rope.run) - 1
    after = replace_contact(moment, step.rope, end, Contact("tail")).with_laid({(step.rope, end - 1): 0.0})
    for contact in rope.run:
        item = after.rig.gear.get(contact.target or "")
        if contact.verb != "through" or item is None or item.state != "in-hand":
            continue  # what a rope is only tied to runs on another rope, and stays open
        if world.type_of(after, item.name).family != "device":
            continue  # a grab that is held open is in the other hand
        if (item.name, step.doer) in after.holds:
            after = _closed(after, item.name)
    return Change(after)


def _closed(moment: Moment, gear: str) -> Moment:
    after = moment.with_gear(replace(moment.rig.gear[gear], state="running"))
    return replace(after, holds=tuple(h for h in after.holds if h[0] != gear))


def open_device(step: Step, moment: Moment, world: World) -> Change:
    """Hold a device open, so that rope runs through it under the brake hand."""
    _device(step, moment, world)
    kind = world.type_of(moment, step.gear)
    item = moment.rig.gear[step.gear]
    if not (kind.holding.opens_under_load or kind.holding.needs_hand):
        raise CannotError(f"{step.gear} is not made to be opened under load")
    if item.state == "locked-off":
        raise CannotError(
            f"{step.gear} is locked off", f"undo the lock-off of {step.gear} first, a hand on its rope"
        )
    if item.state == "in-hand":
        raise CannotError(f"{step.gear} is held open already")
    if not moment.ropes_of(step.gear):
        raise CannotError(f"{step.gear} is on no rope", f"put {step.gear} on a rope first")
    free_hands(moment, world, step)
    after = moment.with_gear(replace(item, state="in-hand"))
    return Change(replace(after, holds=(*after.holds, (step.gear, step.doer))))


def close(step: Step, moment: Moment, world: World) -> Change:
    """Let a device close."""
    _device(step, moment, world)
    if moment.rig.gear[step.gear].state != "in-hand":
        raise CannotError(f"{step.gear} is not held open")
    return Change(_closed(moment, step.gear))


def lock_off(step: Step, moment: Moment, world: World) -> Change:
    """Lock a device off, or tie it off."""
    _device(step, moment, world)
    if not world.type_of(moment, step.gear).holding.locks_off:
        raise CannotError(
            f"{step.gear} can't be locked off", "tie a back-up knot behind it, or use another device"
        )
    if moment.rig.gear[step.gear].state == "locked-off":
        raise CannotError(f"{step.gear} is locked off already")
    if not moment.ropes_of(step.gear):
        raise CannotError(f"{step.gear} is on no rope", f"put {step.gear} on a rope first")
    holds_it = (step.gear, step.doer) in moment.holds  # the hand that held it open locks it
    free_hands(moment, world, step, 0 if holds_it else 1)
    after = _closed(moment, step.gear)
    after = after.with_gear(replace(after.rig.gear[step.gear], state="locked-off"))
    return Change(replace(after, tested=after.tested - {step.gear}))  # a lock is tested once it is on


def undo(step: Step, moment: Moment, world: World) -> Change:
    """Make a locked device ready to run again."""
    _device(step, moment, world)
    item = moment.rig.gear[step.gear]
    if item.state != "locked-off":
        raise CannotError(f"{step.gear} is not locked off")
    free_hands(moment, world, step)
    return Change(moment.with_gear(replace(item, state="running")))


def _device(step: Step, moment: Moment, world: World) -> None:
    rigged(moment, world, step.gear)
    if world.type_of(moment, step.gear).family != "device":
        raise CannotError(f"{step.gear} is no device")
    must_reach(moment, world, step, step.gear)
