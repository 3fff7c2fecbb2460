"""What moves loads and weight: haul, lower, slack in and out, weight given and taken, stand, sit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ropewright.judgement.state import State
from ropewright.mechanics import MechanicsError, StuckError, at_height, hand_strands, held
from ropewright.procedure.hanging import BEARS, assembled
from ropewright.procedure.laying import gaps, lay_in, slack_before
from ropewright.procedure.model import Step
from ropewright.procedure.moment import Loop, Moment, rope_between
from ropewright.procedure.world import World
from ropewright.quantity import show_length
from ropewright.rig import Contact

from .base import CannotError, Change, free_hands, must_reach, on_rope, rigged

__all__ = ["give_out", "give_weight", "haul", "lower", "past_edge", "sit", "stand", "take_in", "take_weight"]

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
    _something_runs(step, moment, world, direction)
    after, reached = _brought(moment, world, step.load, target, direction)
    if abs(reached - target) > 0.02:
        raise CannotError(
            f"{step.load} comes to a stop after {show_length(abs(reached - here))}: something else holds it",
            "see which device or grab still holds, and have it tended",
        )
    return Change(after, hauled=direction > 0, goes_down=max(0.0, here - target) + 0.05)


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


def _brought(moment: Moment, world: World, load: str, target: float, direction: int) -> tuple[Moment, float]:
    """The moment with the hands' rope taken in or let out until the load is at a height; how high it came."""
    followers = _followers(moment, world)
    loose = _without_followers(moment, followers)
    whole = assembled(loose, world.catalogue, world.figures, braked=False, load=load)
    system = whole.system
    hands = hand_strands(system)
    if not hands:
        raise CannotError(f"no hand is on a rope that moves {load}", "put a hand on its rope first")
    if not held(system)[system.load]:
        raise CannotError(f"nothing holds {load} while it is moved")
    try:
        moved, rest = at_height(system, hands, target)
    except StuckError as error:
        at = system.names[error.node] if error.node >= 0 else load
        way = "raised" if direction > 0 else "lowered"
        raise CannotError(f"{load} can't be {way} so: {error} (see {at})") from None
    except MechanicsError as error:
        raise CannotError(f"the model finds no way to move {load}: {error}") from None
    state = whole.state(moved.with_state(rest.position, rest.laid))
    reached = float(state.at[load][2])
    after = replace(moment, state=State({**moment.state.at, **state.at}, {**moment.state.laid, **state.laid}))
    return _following(moment, after, followers), reached


def _followers(moment: Moment, world: World) -> list[tuple[str, int, float]]:
    """Back-ups that follow a person along a slack rope: rope, contact, and the slack [m] they keep."""
    hung = world.hang(moment)
    out = []
    for rope in moment.rig.ropes.values():
        for k, contact in enumerate(rope.run):
            item = moment.rig.gear.get(contact.target or "")
            if item is None or contact.verb != "grip" or not world.catalogue[item.type].holding.follows:
                continue
            if hung.bears.get(item.name, 0.0) <= BEARS and k > 0:
                out.append((rope.name, k, max(0.0, slack_before(moment, rope.name, k))))
    return out


def _without_followers(moment: Moment, followers: list[tuple[str, int, float]]) -> Moment:
    return moment.with_laid({(rope, k - 1): 1000.0 for rope, k, _ in followers})


def _following(before: Moment, after: Moment, followers: list[tuple[str, int, float]]) -> Moment:
    """Back-ups kept at the slack they had: their rope runs through them as the person goes."""
    changes = {}
    for rope, k, slack in followers:
        a, b = after.rig.ropes[rope].run[k - 1].target, after.rig.ropes[rope].run[k].target
        changes[rope, k - 1] = (after.apart(a, b) if a and b else 0.0) + slack
    del before
    return after.with_laid(changes)


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
    """Let rope out of the device that the doer tends, until another rope carries what hung on it."""
    if step.rope not in moment.rig.ropes:
        raise CannotError(f"{step.rope} is not rigged")
    rope, k, gear = _tended(step, moment, world)
    without = world.hang(moment.with_laid({(rope, k - 1): rope_between(moment, rope, k - 1) + 100.0}))
    if not without.settled or not all(_near(moment, without.moment, name) for name in moment.rig.loads):
        raise CannotError(
            f"{step.rope} does not take the weight: nothing else holds", f"take slack out of {step.rope}"
        )
    ends = moment.rig.ropes[rope].run
    a, b = ends[k - 1].target, ends[k].target
    length = without.moment.apart(a, b) if a and b else 0.0
    after = moment.with_laid({(rope, k - 1): length + 0.05})
    now = world.hang(moment)
    run = moment.rig.ropes[step.rope].run
    if not any(without.bears_at(step.rope, i) > now.bears_at(step.rope, i) + BEARS for i in range(len(run))):
        raise CannotError(f"the weight does not go to {step.rope}", f"take slack out of {step.rope}")
    sinks = max(float(moment.state.at[n][2] - without.moment.state.at[n][2]) for n in moment.rig.loads)
    del gear
    return Change(after, goes_down=sinks + 0.05)


def _near(before: Moment, after: Moment, load: str) -> bool:
    return float(before.state.at[load][2] - after.state.at[load][2]) < 3.0


def _tended(step: Step, moment: Moment, world: World) -> tuple[str, int, str]:
    """The rope that the doer has a hand on, and the device on it that lets rope out."""
    for rope in moment.rig.ropes:
        if moment.hand_of(rope) != step.doer or rope == step.rope:
            continue
        for k, contact in enumerate(moment.rig.ropes[rope].run):
            item = moment.rig.gear.get(contact.target or "")
            if item is None or k == 0 or world.catalogue[item.type].family != "device":
                continue
            rule = world.catalogue[item.type].holding
            if item.state == "in-hand" or (rule.needs_hand and item.state == "running"):
                return rope, k, item.name
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
    after, _ = _brought(moment, world, load, here + (step.by or 0.05), +1)
    return Change(after, hauled=True)


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


# --- edges


def past_edge(step: Step, moment: Moment, world: World) -> Change:
    """Bring a load over an edge to a place: its ropes then run over the edge, and it hangs."""
    if step.load not in moment.rig.loads or step.to is None:
        raise CannotError(f"{step.load} is no load of this rig")
    edge = moment.rig.points.get(step.part)
    if edge is None or edge.kind != "edge":
        raise CannotError(f"{step.part} is no edge of this rig")
    node = world.hang(moment).assembly.node
    at = {**moment.state.at}
    for part, n in node.items():
        if n == node[step.load]:
            at[part] = np.array(step.to)
    after = replace(
        moment,
        state=State(at, moment.state.laid),
        stands=tuple(s for s in moment.stands if s[0] != step.load),
    )
    for rope in moment.rig.ropes.values():
        if any(c.target == step.part for c in rope.run):
            continue
        for k in range(1, len(rope.run)):
            a, b = rope.run[k - 1].target, rope.run[k].target
            if a and b and (node[a] == node[step.load]) != (node[b] == node[step.load]):
                after = lay_in(after, rope.name, k, Contact("over", step.part))
                break
    return Change(_let_out(moment, after, world, step.load), goes_down=1.0)


def _let_out(before: Moment, after: Moment, world: World, load: str) -> Moment:
    """Ropes that hands tend, and back-ups, are let out as the load goes over; what holds by itself stays."""
    node = world.hang(before).assembly.node
    changes = {}
    for rope in after.rig.ropes.values():
        if not any(c.target and node.get(c.target) == node[load] for c in rope.run):
            continue
        for k in range(len(rope.run) - 1):
            a, b = rope.run[k].target, rope.run[k + 1].target
            if a and b:
                changes[rope.name, k] = max(after.apart(a, b), after.state.laid.get((rope.name, k), 0.0))
    return after.with_laid(changes)
