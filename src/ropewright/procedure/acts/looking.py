"""Checks and calls: they change nothing but what is known to have been tested."""

from __future__ import annotations

from dataclasses import replace

from ropewright.procedure.hanging import BEARS
from ropewright.procedure.model import Step
from ropewright.procedure.moment import Moment
from ropewright.procedure.others import through_harness
from ropewright.procedure.world import World
from ropewright.quantity import show_force
from ropewright.rig import hangs_on

from .base import CannotError, Change, rigged

__all__ = ["call", "check", "critical_points", "inch_test", "whistle_test"]


def check(step: Step, moment: Moment, world: World) -> Change:
    """A second person looks at each thing named: on its rope, the right way round, clipped, gate locked."""
    found: list[str] = []
    seen: list[str] = []
    for name in step.names:
        found += _amiss(name, moment, world)
        seen += _loose(name, moment, world)
    return Change(moment, catches=tuple(found), notices=tuple(seen))


def _loose(name: str, moment: Moment, world: World) -> list[str]:
    """A device that is neither locked off nor in hand: right while it waits to be, wrong once it bears."""
    item = moment.rig.gear.get(name)
    ropes = moment.ropes_of(name)
    if (
        item is None
        or not ropes
        or item.state == "locked-off"
        or not world.type_of(moment, name).holding.locks_off
    ):
        return []
    if any(moment.hand_of(rope) for rope in ropes):
        return []
    return [f"{name} is neither locked off nor in anybody's hand"]


def _amiss(name: str, moment: Moment, world: World) -> list[str]:
    if name in moment.rig.ropes:
        return _rope_amiss(name, moment)
    if name in (*world.procedure.spare, *world.procedure.rig.ropes):
        return [f"{name} is not rigged"]
    if name in world.procedure.kit and name not in moment.rig.gear:
        return [f"{name} is not on the rig"]
    if name not in moment.rig.gear:
        return [] if name in (*moment.rig.points, *moment.rig.loads) else [f"{name} is not on the rig"]
    out = []
    item = moment.rig.gear[name]
    kind = world.type_of(moment, name)
    if kind.family in ("grab", "device"):
        ropes = moment.ropes_of(name)
        if not ropes:
            out.append(f"{name} is on no rope")
        wrong = [rope for rope in ropes if _reversed(moment, rope, name)]
        out += [f"{name} is on {rope} the wrong way round" for rope in wrong]
    if kind.family == "pulley" and not moment.ropes_of(name):
        out.append(f"no rope runs over {name}")
    if isinstance(item.at, str) and name in moment.unlocked:
        out.append(f"the gate of {name} is not locked")
    if not isinstance(item.at, str) and kind.family != "grab":
        out.append(f"{name} is clipped to nothing")
    return out


def _rope_amiss(name: str, moment: Moment) -> list[str]:
    """What a second person sees wrong with a rope: fast to nothing, or to one thing alone, or harness
    hung on harness.
    """
    met = [c.target for c in moment.rig.ropes[name].run if c.verb in ("tie", "grip", "through") and c.target]
    if not met:
        return [f"{name} is made fast to nothing"]
    if len({hangs_on(moment.rig, part) for part in met}) == 1:
        return [f"{name} is made fast to {met[0]} and to nothing else"]
    loads = moment.rig.loads
    hung = sorted(
        load for load in loads if any(rope == name for rope, _ in through_harness(moment.rig, load))
    )
    return [f"{name} joins the harnesses of {' and '.join(hung)}, and no device"] if hung else []


def _reversed(moment: Moment, rope: str, gear: str) -> bool:
    k = moment.on(rope, gear)
    return k is not None and moment.rig.ropes[rope].run[k].reversed


def inch_test(step: Step, moment: Moment, world: World) -> Change:
    """A little weight on a device while something else is still on: it has to bear, and to hold."""
    rigged(moment, world, step.gear)
    ropes = moment.ropes_of(step.gear)
    if not ropes:
        raise CannotError(f"{step.gear} is on no rope", f"put {step.gear} on a rope first")
    hung = world.hang(moment)
    found = []
    force = hung.bears.get(step.gear, 0.0)
    if force <= BEARS:
        heavy = [name for name in hung.weight_on() if name != step.gear]
        on = f"; the weight is on {heavy[0]}" if heavy else ""
        wrong = [rope for rope in ropes if _reversed(moment, rope, step.gear)]
        why = f" ({step.gear} is on {wrong[0]} the wrong way round)" if wrong else ""
        found.append(f"{step.gear} bears {show_force(force)}, so nothing was tested{on}{why}")
    item = moment.rig.gear[step.gear]
    tended = any(moment.hand_of(rope) for rope in ropes)
    if world.type_of(moment, step.gear).family == "device" and item.state != "locked-off" and not tended:
        found.append(f"{step.gear} is neither locked off nor in hand")
    after = moment if found else replace(moment, tested=moment.tested | {step.gear})
    return Change(after, catches=tuple(found))


def whistle_test(step: Step, moment: Moment, world: World) -> Change:  # noqa: ARG001
    """Every hand off: everybody has to be held by what holds by itself."""
    found = [
        f"{name} is not held with every hand off"
        for name, h in world.chains(moment).items()
        if not h.hands_off
    ]
    return Change(moment, catches=tuple(found))


def critical_points(step: Step, moment: Moment, world: World) -> Change:  # noqa: ARG001
    """Any one thing fails: everybody has to be held by another chain."""
    found = []
    for name, holding in world.chains(moment).items():
        if len(holding.independent) < 2:
            shared = f": both ways share {', '.join(holding.shared)}" if holding.shared else ""
            found.append(f"one failure drops {name}{shared}")
    return Change(moment, catches=tuple(found))


def call(step: Step, moment: Moment, world: World) -> Change:  # noqa: ARG001
    """Say a word."""
    return Change(moment)
