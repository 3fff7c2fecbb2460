"""What moves loads and weight: haul, lower, slack in and out, weight given and taken, stand, sit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ropewright.judgement.ground import ground_below
from ropewright.procedure.hanging import BEARS, Hanging
from ropewright.procedure.laying import gaps, slack_before
from ropewright.procedure.model import Step
from ropewright.procedure.moment import Loop, Moment, rope_between
from ropewright.procedure.world import World
from ropewright.quantity import show_length

from .base import CannotError, Change, free_hands, must_reach, on_rope, rigged
from .tending import brought, carries, eased, last_device

__all__ = ["give_out", "give_weight", "haul", "lower", "sit", "stand", "take_in", "take_weight"]

STAND = 0.3
"""How far [m] standing up in a foot loop raises a person where the step does not say: a planning figure."""
BENDS = 0.35
"""How far [m] a person can sink out of a foot loop before it comes tight again: a planning figure."""


# --- by the hands on the ropes


def haul(step: Step, moment: Moment, world: World) -> Change:
    """Raise a load: whoever has a hand on a rope that raises it takes rope in."""
    return _moved(step, moment, world, +1)


def lower(step: Step, moment: Moment, world: World) -> Change:
    """Lower a load: whoever has a hand on its ropes lets rope out through devices that are held open."""
    return _moved(step, moment, world, -1)


def _moved(step: Step, moment: Moment, world: World, direction: int) -> Change:
    if step.load not in moment.rig.loads:
        raise CannotError(f"{step.load} is no load of this rig")
    if moment.standing(step.load):
        raise CannotError(
            f"{step.load} stands on {moment.standing(step.load)}", "move it past the edge first"
        )
    if not any(moment.hand_of(rope) for rope in moment.rig.ropes):
        doing = "raise" if direction > 0 else "lower"
        raise CannotError(
            f"nobody has a hand on a rope to {doing} {step.load}", "put a hand on its rope first"
        )
    here = float(moment.state.at[step.load][2])
    target = here + direction * (step.by or 0.0)
    if step.way == "level":
        if step.part not in moment.state.at:
            raise CannotError(f"{step.part} is not there to stop at")
        target = float(moment.state.at[step.part][2])
    if (target - here) * direction <= 1e-6:
        way = "above" if direction > 0 else "below"
        raise CannotError(f"{step.part or 'that'} is not {way} {step.load}")
    ground = ground_below(moment.rig, here, moment.state.at[step.load])
    if ground is not None and target < ground - 1e-6:
        raise CannotError(
            f"{step.load} reaches the ground after {show_length(here - ground)}", "lower less far"
        )
    _something_runs(step, moment, world, direction)
    moving = _moving(step, moment, world, direction)
    after, reached = brought(moment, world, step.load, target, direction, moving)
    if abs(reached - target) > 0.02:
        raise CannotError(
            f"{step.load} comes to a stop after {show_length(abs(reached - here))}: something else holds it",
            "see which device or grab still holds, and have it tended",
        )
    hauled = tuple(moving) if direction > 0 else ()
    return Change(after, hauled=hauled, goes_down=max(0.0, here - target) + 0.05)


def _something_runs(step: Step, moment: Moment, world: World, direction: int) -> None:
    """Refuse to lower by devices that are closed: what holds by itself is opened first."""
    if direction > 0:
        return
    closed = []
    for rope in moment.rig.ropes:
        if moment.hand_of(rope) is None:
            continue
        for contact in moment.rig.ropes[rope].run:
            item = moment.rig.gear.get(contact.target or "")
            if item is None or contact.verb != "through":
                continue
            rule = world.catalogue[item.type].holding
            if item.state == "locked-off" or (rule.bites and item.state != "in-hand"):
                closed.append(item.name)
    if closed:
        raise CannotError(
            f"{' and '.join(closed)} {'holds' if len(closed) == 1 else 'hold'} {step.load}",
            f"open {closed[0]} first"
            if moment.rig.gear[closed[0]].state != "locked-off"
            else f"undo the lock-off of {closed[0]} and open it, a hand on its rope",
        )


def _moving(step: Step, moment: Moment, world: World, direction: int) -> list[str]:
    """The ropes by which the load is moved: the doer's own when raising, otherwise all in a hand that bear.

    Not one that is locked off before the hand.
    """
    ropes = []
    for rope in moment.rig.ropes:
        k = last_device(moment, world, rope)
        device = None if k is None else moment.rig.gear[moment.rig.ropes[rope].run[k].target or ""]
        if moment.hand_of(rope) and not (device and device.state == "locked-off"):
            ropes.append(rope)
    own = [rope for rope in ropes if moment.hand_of(rope) == step.doer]
    if direction > 0 and own:
        return own
    return [rope for rope in ropes if carries(moment, world, rope)] or ropes


# --- slack and weight


def take_in(step: Step, moment: Moment, world: World) -> Change:
    """Pull slack through a device or a grab that lets it in."""
    k = _at_device(step, moment, world)
    free_hands(moment, world, step, 0 if moment.hand_of(step.rope) == step.doer else 1)
    spare = max(0.0, slack_before(moment, step.rope, k))
    if moment.rig.gear[step.gear].state == "locked-off":
        raise CannotError(f"{step.gear} is locked off", f"undo the lock-off of {step.gear} first")
    by = spare - step.slack if step.way == "tight" else step.by or 0.0
    if by < -1e-3:
        raise CannotError(
            f"{step.rope} has only {show_length(spare)} of slack before {step.gear}",
            f"give out {step.rope} at {step.gear}",
        )
    if by > spare + 1e-3:
        raise CannotError(
            f"{step.rope} has {show_length(spare)} of slack before {step.gear}, not {show_length(by)}",
            f"take in {step.rope} at {step.gear} until tight",
        )
    return Change(_shift(moment, step.rope, k, -by))


def give_out(step: Step, moment: Moment, world: World) -> Change:
    """Let slack through a device that does not bear weight."""
    k = _at_device(step, moment, world)
    free_hands(moment, world, step, 0 if moment.hand_of(step.rope) == step.doer else 1)
    if moment.rig.gear[step.gear].state == "locked-off":
        raise CannotError(f"{step.gear} is locked off", f"undo the lock-off of {step.gear} first")
    if world.hang(moment).bears.get(step.gear, 0.0) > BEARS:
        raise CannotError(
            f"{step.gear} bears weight: giving out slack there lowers somebody", "write `lower`"
        )
    return Change(_shift(moment, step.rope, k, step.by or 0.0))


def _at_device(step: Step, moment: Moment, world: World) -> int:
    rigged(moment, world, step.gear)
    if step.rope not in moment.rig.ropes:
        raise CannotError(f"{step.rope} is not rigged")
    k = on_rope(moment, step.rope, step.gear)
    must_reach(moment, world, step, step.gear)
    return k


def _shift(moment: Moment, rope: str, k: int, by: float) -> Moment:
    """Rope ``by`` [m] let in before contact ``k``, out of what lies behind it."""
    run = moment.rig.ropes[rope].run
    laid = {(rope, k - 1): rope_between(moment, rope, k - 1) + by}
    if k + 1 < len(run) and run[k + 1].target and run[k + 1].verb != "hand":
        laid[rope, k] = max(0.0, rope_between(moment, rope, k) - by)
    return moment.with_laid(laid)


def give_weight(step: Step, moment: Moment, world: World) -> Change:
    """Let rope out of what the doer tends, until another rope, device or grab carries what hung on it."""
    if step.part not in moment.rig.ropes and step.part not in moment.rig.gear:
        raise CannotError(f"{step.part} is not rigged")
    rope, k = _tended(step, moment, world)
    without, after = eased(moment, world, rope, k)
    if not without.settled or not all(_near(moment, without.moment, name) for name in moment.rig.loads):
        text = f"{step.part} does not take the weight: nothing else holds"
        raise CannotError(text, _ready(step, moment, world))
    if _bears(without, step.part) <= _bears(world.hang(moment), step.part) + BEARS:
        raise _elsewhere(step, moment, world, without)
    sinks = max(float(moment.state.at[n][2] - without.moment.state.at[n][2]) for n in moment.rig.loads)
    return Change(after, goes_down=sinks + 0.05)


def _bears(hung: Hanging, part: str) -> float:
    """What a rope or a piece of gear bears [N]."""
    run = hung.moment.rig.ropes[part].run if part in hung.moment.rig.ropes else ()
    return max((hung.bears_at(part, i) for i in range(len(run))), default=hung.bears.get(part, 0.0))


def _elsewhere(step: Step, moment: Moment, world: World, without: Hanging) -> CannotError:
    """Why weight that is let out does not go where it should."""
    was = world.hang(moment).bears
    more = {name: force - was.get(name, 0.0) for name, force in without.bears.items()}
    gains = max(more, key=lambda name: more[name], default="")
    to = f": it would go to {gains}" if gains and more[gains] > BEARS else ""
    for rope in moment.rig.ropes.values():
        if any(c.target == step.part and c.reversed for c in rope.run):
            text = f"{step.part} does not take the weight, it is on {rope.name} the wrong way round{to}"
            return CannotError(text, f"turn {step.part} round on {rope.name} first")
    return CannotError(f"the weight does not go to {step.part}{to}", _ready(step, moment, world))


def _ready(step: Step, moment: Moment, world: World) -> str:
    """What makes a part ready to take weight."""
    item = moment.rig.gear.get(step.part)
    device = item is not None and world.catalogue[item.type].family == "device" and item.state != "locked-off"
    if device and not any(moment.hand_of(rope) for rope in moment.ropes_of(step.part)):
        return f"lock off {step.part} first, or put a hand on its rope"
    return f"take slack out of {step.part}"


def _near(before: Moment, after: Moment, load: str) -> bool:
    return float(before.state.at[load][2] - after.state.at[load][2]) < 3.0


def _tended(step: Step, moment: Moment, world: World) -> tuple[str, int]:
    """The rope that the doer has a hand on, and the contact at which rope is let out: a device, or the hand
    itself where rope has no device before it.
    """
    for rope in moment.rig.ropes:
        if moment.hand_of(rope) != step.doer or rope == step.part:
            continue
        k = last_device(moment, world, rope)
        if k is None:
            return rope, len(moment.rig.ropes[rope].run) - 1
        item = moment.rig.gear[moment.rig.ropes[rope].run[k].target or ""]
        rule = world.catalogue[item.type].holding
        if k and (item.state == "in-hand" or (rule.needs_hand and item.state == "running")):
            return rope, k
    raise CannotError(
        f"{step.doer} tends no open device to let rope out of", "put a hand on its rope and open it first"
    )


def take_weight(step: Step, moment: Moment, world: World) -> Change:
    """Haul on a rope until it carries: its slack is taken in and a load rises a little off what held it."""
    if step.rope not in moment.rig.ropes:
        raise CannotError(f"{step.rope} is not rigged")
    who = moment.hand_of(step.rope)
    if who is None:
        raise CannotError(f"nobody has a hand on {step.rope}", f"put a hand on {step.rope} first")
    load = _hauled_by(step, moment, world)
    here = float(moment.state.at[load][2])
    after, _ = brought(moment, world, load, here + (step.by or 0.05), +1, [step.rope])
    return Change(after, hauled=(step.rope,))


def _hauled_by(step: Step, moment: Moment, world: World) -> str:
    """The load that a rope leads to, through whatever it is reeved on."""
    node = world.hang(moment).assembly.node
    loads = {node[name]: name for name in moment.rig.loads}
    met = [
        loads[node[c.target]] for c in moment.rig.ropes[step.rope].run if c.target and node[c.target] in loads
    ]
    if met:
        return met[-1]
    if len(moment.rig.loads) == 1:
        return next(iter(moment.rig.loads))
    raise CannotError(f"{step.rope} leads to no load")


# --- foot loops


def stand(step: Step, moment: Moment, world: World) -> Change:
    """Stand up in a foot loop: it carries, and what hung below goes slack."""
    rope = moment.rig.ropes.get(step.rope)
    if step.doer not in moment.rig.loads:
        raise CannotError(f"{step.doer} hangs on nothing and can't stand in a loop")
    ends = [c.target for c in rope.run if c.verb != "tail"] if rope else []
    if rope is None or len(ends) != 2 or step.doer not in ends:
        raise CannotError(f"{step.rope} is no foot loop of {step.doer}", "rig it from a grab to the person")
    if moment.loop_of(step.doer):
        raise CannotError(f"{step.doer} stands already", "sit first")
    other = ends[0] if ends[1] == step.doer else ends[1]
    up = step.by if step.by is not None else STAND
    now = world.hang(moment).moment
    raised = now.state.at[step.doer] + np.array([0.0, 0.0, up])
    length = float(np.linalg.norm(raised - now.state.at[other or ""]))
    if raised[2] >= now.state.at[other or ""][2] - 0.1:
        raise CannotError(f"standing would bring {step.doer} up to {other}", f"advance {other} up first")
    sat = rope_between(now, step.rope, 0)
    after = now.with_laid({(step.rope, 0): length})
    loop = Loop(step.doer, step.rope, max(sat, length + BENDS), tuple(gaps(now, step.doer).items()))
    del world
    return Change(replace(after, loops=(*after.loops, loop)))


def sit(step: Step, moment: Moment, world: World) -> Change:  # noqa: ARG001
    """Sit down out of the foot loop: the weight goes to what comes tight first."""
    loop = moment.loop_of(step.doer)
    if loop is None:
        raise CannotError(f"{step.doer} does not stand in a loop")
    after = moment.with_laid({(loop.rope, 0): loop.sat})
    loops = tuple(lp for lp in moment.loops if lp.load != step.doer)
    sinks = loop.sat - rope_between(moment, loop.rope, 0)
    return Change(replace(after, loops=loops), goes_down=sinks + 0.1)
