"""What is put on a rope and taken off it: devices, grabs, sheaves; a grab moved along, held open, set."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ropewright.judgement.state import State
from ropewright.procedure.hanging import BEARS
from ropewright.procedure.laying import (
    is_knot,
    lay_in,
    place_for,
    replace_contact,
    slack_before,
    take_out,
    without_rope,
)
from ropewright.procedure.model import Step
from ropewright.procedure.moment import Moment, rope_between
from ropewright.procedure.world import World
from ropewright.quantity import show_force, show_length
from ropewright.rig import Contact

from .base import (
    CannotError,
    Change,
    free_hands,
    must_be_free,
    must_be_on,
    must_be_within,
    must_reach,
    on_rope,
    rigged,
)

__all__ = ["advance", "grip", "let_off", "put", "reeve", "take_off", "take_out_of"]

_FAMILIES = {"grab": "grip", "device": "through", "pulley": "through", "join": "through"}
Place = NDArray[np.float64]

_CLOSE = 0.1
"""Rope [m] between a knot and the device that is put on behind it."""
_BENT = 0.1
"""Rope [m] by which a tight rope can be pulled aside to what is put on it: a planning figure."""
_FLOATS = 0.3
"""Rope [m] between a grab that rides on its own and the part beside which it is put."""


def put(step: Step, moment: Moment, world: World) -> Change:
    """Put a device or grab on a rope, beside something on it or at its free end."""
    free_hands(moment, world, step, 2)
    _rope_there(step, moment)
    if moment.on(step.rope, step.gear) is not None:
        raise CannotError(f"{step.gear} is on {step.rope} already")
    if (
        step.gear in moment.rig.gear
        and moment.ropes_of(step.gear)
        and _family(step, moment, world) != "pulley"
    ):
        raise CannotError(
            f"{step.gear} is on {moment.ropes_of(step.gear)[0]}", f"take {step.gear} off it first"
        )
    k = place_for(moment, step.rope, step.beside, step.side)
    moment = _there(step, moment, world, k)
    must_reach(moment, world, step, step.gear)
    _reach_rope(moment, world, step)
    moment = _pulled_up(step, moment, k)
    _rope_reaches(moment, world, step, k)
    verb = _verb(step, moment, world)
    contact = Contact(verb, step.gear, step.sheave, reversed=step.reversed)  # type: ignore[arg-type]
    force = world.hang(moment).tension.get((step.rope, k - 1), 0.0)
    if force > BEARS and step.slack > 0:
        raise CannotError(
            f"{step.rope} pulls with {show_force(force)} there, so no slack can be left before {step.gear}",
            "leave the slack out, or put it on where the rope is slack",
        )
    after = lay_in(moment, step.rope, k, contact, step.slack).forget(step.gear)
    if force > BEARS:
        after = replace(after, unset=after.unset | {step.gear})
    return Change(after, untended(moment, step.rope, k))


def _rope_there(step: Step, moment: Moment) -> None:
    if step.rope not in moment.rig.ropes:
        raise CannotError(f"{step.rope} is not rigged yet", f"tie {step.rope} first")
    must_be_on(moment, step)


def _reach_rope(moment: Moment, world: World, step: Step) -> None:
    """Note a rope out of the doer's reach: its free end hangs plumb below the last thing it meets."""
    run = moment.rig.ropes[step.rope].run
    here = moment.state.at.get(step.doer)
    met = [c.target for c in run if c.target]
    if step.beside or here is None or not met or run[-1].verb != "tail":
        return
    line = moment.state.at[met[-1]] - here
    line[2] = min(0.0, float(line[2]))  # above the doer the rope comes down to them
    must_be_within(float(np.linalg.norm(line)), moment, world, step, step.rope)


def _pulled_up(step: Step, moment: Moment, k: int) -> Moment:
    """A knot along a slack rope is pulled up to the device that is put on beside it."""
    run = moment.rig.ropes[step.rope].run
    near = next((i for i in (k - 1, k) if 0 <= i < len(run) and run[i].target == step.beside), None)
    if not step.beside or near is None or not is_knot(moment, step.rope, step.beside):
        return moment
    far = near - 1 if near < k else near + 1
    here, there = moment.state.at[step.gear], moment.state.at[run[far].target or step.gear]
    line = there - here
    length = float(np.linalg.norm(line))
    short = _CLOSE if length <= _CLOSE else _CLOSE / length
    where = here + line * short
    laid = rope_between(moment, step.rope, min(near, far))
    if float(np.linalg.norm(there - where)) > laid + 1e-6:
        raise CannotError(
            f"{step.rope} is too tight to bring {step.beside} up to {step.gear}", f"slacken {step.rope} first"
        )
    return replace(moment, state=State({**moment.state.at, step.beside: where}, moment.state.laid))


def _rope_reaches(moment: Moment, world: World, step: Step, k: int) -> None:
    """Note a part of a rope that is too short between what it meets to be led to where the gear is."""
    run = moment.rig.ropes[step.rope].run
    ends = [c.target for c in run[max(k - 1, 0) : k + 1]]
    if len(ends) < 2 or not all(ends) or step.gear not in moment.state.at:
        return
    a, b = ends[0] or "", ends[1] or ""
    has = max(rope_between(moment, step.rope, k - 1), moment.apart(a, b))
    short = moment.apart(a, step.gear) + moment.apart(step.gear, b) - has
    if short > _BENT:
        world.note(
            "reach",
            f"{step.rope} is {show_length(short)} too short between {a} and {b} to be led to {step.gear}",
            f"bring {step.gear} between {a} and {b} first",
        )


def _family(step: Step, moment: Moment, world: World) -> str:
    return world.type_of(moment, step.gear).family


def _verb(step: Step, moment: Moment, world: World) -> str:
    kind = world.type_of(moment, step.gear)
    return "grip" if kind.holding.follows else _FAMILIES.get(kind.family, "through")


def _there(step: Step, moment: Moment, world: World, k: int) -> Moment:
    """The moment with the gear at hand: grabs may ride on a rope alone, everything else is clipped first."""
    item = moment.rig.gear.get(step.gear) or world.at_hand(step.gear)
    if item is None:
        raise CannotError(f"{step.gear} is not there")
    hangs_ready = item.name in moment.rig.gear and not isinstance(item.at, str) and step.beside
    if item.name in moment.rig.gear and not hangs_ready:
        return moment
    if world.catalogue[item.type].family != "grab":
        raise CannotError(f"{step.gear} is clipped to nothing", f"clip {step.gear} where it belongs first")
    beside = moment.state.at[step.beside] if step.beside else moment.state.at.get(step.doer)
    if beside is None:
        raise CannotError(
            f"nothing says where on {step.rope} {step.gear} goes", "write `above` or `below` a part"
        )
    where = tuple(float(v) for v in beside + _along(step, moment, k))
    placed = replace(item, at=(where[0], where[1], where[2]))
    after = moment.with_gear(placed)
    return replace(after, state=State({**moment.state.at, step.gear: np.array(where)}, moment.state.laid))


def _along(step: Step, moment: Moment, k: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """From a part on a rope the way [m] along it to what is put beside it, before contact ``k``; plumb where
    the rope leads nowhere there.
    """
    run = moment.rig.ropes[step.rope].run
    if step.beside:
        other = k - 1 if k < len(run) and run[k].target == step.beside else k
        target = run[other].target if 0 <= other < len(run) else None
        line = moment.state.at[target] - moment.state.at[step.beside] if target else np.zeros(3)
        length = float(np.linalg.norm(line))
        if length > 1e-6:
            return np.asarray(line / length * min(_FLOATS, length / 2))
    return np.array([0.0, 0.0, -_FLOATS if step.side == "below" else _FLOATS])


def take_off(step: Step, moment: Moment, world: World) -> Change:
    """Take a device or grab off its rope."""
    rigged(moment, world, step.gear)
    rope = step.rope or next(iter(moment.ropes_of(step.gear)), "")
    if not rope or rope not in moment.rig.ropes:
        raise CannotError(f"{step.gear} is on no rope")
    k = on_rope(moment, rope, step.gear)
    free_hands(moment, world, step)
    must_reach(moment, world, step, step.gear)
    must_be_free(moment, world, step.gear, "taken off")
    after = take_out(moment, rope, k).forget(step.gear)
    after = replace(after, holds=tuple(h for h in after.holds if h[0] != step.gear))
    item = after.rig.gear[step.gear]
    if item.state != "running":
        after = after.with_gear(replace(item, state="running"))
    children = any(g.at == step.gear for g in after.rig.gear.values())
    tied = any(c.target == step.gear for r in after.rig.ropes.values() for c in r.run)
    if not isinstance(item.at, str) and not children and not tied:
        after = after.without_gear(step.gear)
    elif not isinstance(item.at, str):  # it hangs from what is tied or clipped to it
        after = _dangles(after, step.gear)
    return Change(after, removed=(step.gear,))


def _dangles(moment: Moment, gear: str) -> Moment:
    """A grab off its rope that still hangs on a loop or cord: it goes with what holds that, into the kit."""
    for rope in list(moment.rig.ropes.values()):
        ends = [k for k, c in enumerate(rope.run) if c.target == gear]
        others = [c for c in rope.run if c.target not in (gear, None)]
        if ends and len(others) <= 1:  # a cord from the grab to somebody comes away with it
            moment = without_rope(moment, rope.name)
    for child in [g.name for g in moment.rig.gear.values() if g.at == gear]:
        if not moment.ropes_of(child):
            moment = moment.without_gear(child)
    still = any(c.target == gear for r in moment.rig.ropes.values() for c in r.run)
    still = still or any(g.at == gear for g in moment.rig.gear.values())
    return moment if still else moment.without_gear(gear)


def reeve(step: Step, moment: Moment, world: World) -> Change:
    """Lay a rope over a sheave."""
    rigged(moment, world, step.gear)
    _rope_there(step, moment)
    free_hands(moment, world, step, 2)
    must_reach(moment, world, step, step.gear)
    if any(moment.on(r, step.gear, step.sheave) is not None for r in moment.rig.ropes):
        raise CannotError(f"sheave {step.sheave} of {step.gear} has a rope on it already")
    k = place_for(moment, step.rope, step.beside, step.side)
    contact = Contact("through", step.gear, step.sheave)
    return Change(lay_in(moment, step.rope, k, contact, step.slack), untended(moment, step.rope, k))


def untended(moment: Moment, rope: str, k: int) -> tuple[Moment, ...]:
    """The moment on the way when rope behind a device is handled: the hand behind it can't hold meanwhile."""
    run = moment.rig.ropes[rope].run
    devices = [i for i, c in enumerate(run) if c.verb == "through" and c.target in moment.rig.gear]
    if run[-1].verb != "hand" or not devices or k <= devices[0] or (k == len(run) - 1 and len(run) == 2):
        return ()
    return (replace_contact(moment, rope, len(run) - 1, Contact("tail")),)


def take_out_of(step: Step, moment: Moment, world: World) -> Change:
    """Take a rope off a sheave."""
    rigged(moment, world, step.gear)
    if step.rope not in moment.rig.ropes:
        raise CannotError(f"{step.rope} is not rigged")
    k = on_rope(moment, step.rope, step.gear, step.sheave)
    free_hands(moment, world, step)
    must_reach(moment, world, step, step.gear)
    force = world.hang(moment).bears_at(step.rope, k)
    if force > BEARS:
        world.note(
            "loaded",
            f"{step.rope} is loaded with {show_force(force)} at {step.gear}",
            f"slacken {step.rope} first",
        )
    return Change(take_out(moment, step.rope, k), untended(moment, step.rope, k), removed=(step.gear,))


def let_off(step: Step, moment: Moment, world: World) -> Change:
    """Hold a grab open; its doer's hand stays on it until it grips again."""
    rigged(moment, world, step.gear)
    if not moment.ropes_of(step.gear):
        raise CannotError(f"{step.gear} is on no rope")
    free_hands(moment, world, step)
    must_reach(moment, world, step, step.gear)
    must_be_free(moment, world, step.gear, "held open")
    item = replace(moment.rig.gear[step.gear], state="in-hand")
    after = _passing(moment.with_gear(item), step.gear, "through")
    return Change(replace(after, holds=(*after.holds, (step.gear, step.doer))))


def _passing(moment: Moment, gear: str, verb: Literal["grip", "through"]) -> Moment:
    """A grab held open lets rope through like a device that is held open; let go, it bites again."""
    for rope in moment.ropes_of(gear):
        k = on_rope(moment, rope, gear)
        moment = replace_contact(moment, rope, k, replace(moment.rig.ropes[rope].run[k], verb=verb))
    return moment


def grip(step: Step, moment: Moment, world: World) -> Change:
    """Let a grab bite again."""
    rigged(moment, world, step.gear)
    if moment.rig.gear[step.gear].state != "in-hand":
        raise CannotError(f"{step.gear} is not held open")
    item = replace(moment.rig.gear[step.gear], state="running")
    after = _passing(moment.with_gear(item), step.gear, "grip")
    return Change(replace(after, holds=tuple(h for h in after.holds if h[0] != step.gear)))


def advance(step: Step, moment: Moment, world: World) -> Change:
    """Move a grab or a back-up along its rope: on the way one that does not follow is off the rope."""
    rigged(moment, world, step.gear)
    rope = next(iter(moment.ropes_of(step.gear)), None)
    if rope is None:
        raise CannotError(f"{step.gear} is on no rope")
    free_hands(moment, world, step)
    must_reach(moment, world, step, step.gear)
    must_be_free(moment, world, step.gear, "moved")
    k = on_rope(moment, rope, step.gear)
    spare = slack_before(moment, rope, k)
    rides = not isinstance(moment.rig.gear[step.gear].at, str)
    after = _ridden(step, moment, rope, k) if rides else _shifted(step, moment, rope, k, spare)
    follows = world.type_of(moment, step.gear).holding.follows
    during = () if follows else (take_out(moment, rope, k),)
    return Change(after.forget(), during)


def _shifted(step: Step, moment: Moment, rope: str, k: int, spare: float) -> Moment:
    """A grab clipped to somebody: moving it up takes slack out of the rope above it."""
    up = spare if step.way == "tight" else (step.by or 0.0) * (1 if step.way == "up" else -1)
    if up > spare + 1e-3:
        has = show_length(max(0.0, spare))
        raise CannotError(
            f"{step.gear} has {has} of slack above it: it can't go up {show_length(up)}",
            f"advance {step.gear} until tight",
        )
    laid = {(rope, k - 1): rope_between(moment, rope, k - 1) - up}
    if k + 1 < len(moment.rig.ropes[rope].run) and moment.rig.ropes[rope].run[k + 1].target:
        laid[rope, k] = rope_between(moment, rope, k) + up
    return moment.with_laid(laid)


def _ridden(step: Step, moment: Moment, rope: str, k: int) -> Moment:
    """A grab that rides on its rope goes along it, towards the neighbour on that side."""
    run = moment.rig.ropes[rope].run
    here = moment.state.at[step.gear]
    sides = [j for j in (k - 1, k + 1) if 0 <= j < len(run) and run[j].target]
    if not sides:
        raise CannotError(f"{rope} leads nowhere from {step.gear}")
    heights = {j: float(moment.state.at[run[j].target or ""][2]) for j in sides}
    up = max(sides, key=lambda j: heights[j])
    towards = up if step.way == "up" else next((j for j in sides if j != up), None)
    by = step.by or 0.0
    if towards is None:
        where = here + np.array([0.0, 0.0, -by])
    else:
        line = moment.state.at[run[towards].target or ""] - here
        length = float(np.linalg.norm(line))
        if by > length - 0.05:
            raise CannotError(
                f"{run[towards].target} is only {show_length(length)} from {step.gear}",
                f"move it less far; past {run[towards].target} it comes off and is put on again",
            )
        where = here + line / length * by
    by = by if step.way == "up" else -by
    if up > k:
        by = -by
    laid = {(rope, k - 1): rope_between(moment, rope, k - 1) - by}
    if k + 1 < len(run) and run[k + 1].target:
        laid[rope, k] = rope_between(moment, rope, k) + by
    at = {**moment.state.at, step.gear: where}
    _cords_reach(moment, step.gear, where)
    for item in moment.rig.gear.values():
        if item.at == step.gear:
            at[item.name] = where
    return replace(moment, state=State(at, moment.state.laid)).with_laid(laid)


def _cords_reach(moment: Moment, gear: str, where: Place) -> None:
    """Refuse to move a grab further than the loops and cords tied to it reach."""
    for rope in moment.rig.ropes.values():
        for k in range(len(rope.run) - 1):
            ends = (rope.run[k], rope.run[k + 1])
            other = next((c.target for c in ends if c.target not in (gear, None)), None)
            if other is None or not any(c.target == gear and c.verb == "tie" for c in ends):
                continue
            short = float(np.linalg.norm(moment.state.at[other] - where)) - rope_between(moment, rope.name, k)
            if short > 1e-3:
                text = f"{rope.name} is {show_length(short)} too short to let {gear} go that far from {other}"
                raise CannotError(text, f"move {gear} less far, or give {rope.name} more slack")
