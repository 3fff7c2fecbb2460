"""Bringing a load over an edge: whoever does it tied in, the edge protected, its ropes let out as it goes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ropewright.judgement.ground import ground_below
from ropewright.judgement.state import State
from ropewright.procedure.laying import lay_in
from ropewright.procedure.model import Step
from ropewright.procedure.moment import Moment, rope_between, straight
from ropewright.procedure.world import World
from ropewright.quantity import show_length
from ropewright.rig import Contact, Place, hangs_on

from .base import CannotError, Change, free_hands, must_reach
from .tending import last_device

__all__ = ["past_edge"]


def past_edge(step: Step, moment: Moment, world: World) -> Change:
    """Bring a load over an edge to a place: its ropes then run over the edge, and it hangs."""
    if step.load not in moment.rig.loads or step.to is None:
        raise CannotError(f"{step.load} is no load of this rig")
    edge = moment.rig.points.get(step.part)
    if edge is None or edge.kind != "edge":
        raise CannotError(f"{step.part} is no edge of this rig")
    depth = ground_below(moment.rig, float(moment.state.at[step.load][2]), np.array(step.to))
    if depth is not None and step.to[2] < depth:
        raise CannotError(f"the ground is at {show_length(depth)} there", "name a place above the ground")
    free_hands(moment, world, step)
    must_reach(moment, world, step, step.load)
    _tied_in(step, moment, world)
    _protected(edge, world)
    node = world.hang(moment).assembly.node
    own = {part for part, n in node.items() if n == node[step.load]}
    at = {**moment.state.at, **{part: np.array(step.to) for part in own}}
    stands = tuple(s for s in moment.stands if s[0] != step.load)
    after = replace(moment, state=State(at, moment.state.laid), stands=stands)
    for rope in moment.rig.ropes:
        after = _over(moment, after, world, rope, own, edge.name)
    sinks = max(0.0, float(moment.state.at[step.load][2] - step.to[2]))
    return Change(after, goes_down=sinks + _SETTLES)


_SETTLES = 0.4
"""How far [m] a load may settle into its ropes beyond the place it is brought to: a planning figure."""


def _tied_in(step: Step, moment: Moment, world: World) -> None:
    """Note a person who brings a load over an edge and is tied to nothing that stays."""
    who = moment.rig.loads.get(step.doer)
    if who is None or who.name == step.load or moment.standing(who.name) is None:
        return
    tied = False
    for rope in moment.rig.ropes.values():
        ends = {hangs_on(moment.rig, c.target) for c in rope.run if c.target and c.verb != "hand"}
        tied = tied or (who.name in ends and any(end in moment.rig.points for end in ends))
    if not tied:
        world.note(
            "untied", f"{who.name} works at {step.part} and is tied to nothing", f"tie {who.name} in first"
        )


def _protected(edge: Place, world: World) -> None:
    """Note a bare edge that ropes would run over."""
    if world.policy.asks("protect-edges") and not edge.protection:
        surface = f"bare {edge.surface}" if edge.surface else "without protection"
        world.note("edge", f"{edge.name} is {surface}", "lay an edge roller or a pad there first")


def _over(before: Moment, after: Moment, world: World, rope: str, own: set[str], edge: str) -> Moment:
    """One of the load's ropes laid over the edge and let out as far as that takes, its slack kept."""
    run = before.rig.ropes[rope].run
    mine = [c.target in own for c in run]
    k = next((i for i in range(1, len(run)) if run[i].target and mine[i] != mine[i - 1]), None)
    if k is None or not run[k - 1].target:
        return after
    slack = max(0.0, rope_between(before, rope, k - 1) - straight(before, run, k - 1))
    if all(c.target != edge for c in run):
        after = lay_in(after, rope, k, Contact("over", edge))
        spans = [k - 1, k]
    else:
        spans = [k - 1]
    longer = sum(straight(after, after.rig.ropes[rope].run, i) for i in spans)
    short = longer - rope_between(before, rope, k - 1)
    if short > 1e-3:
        _lets_out(before, world, rope, short)
    elif short < 0:
        slack = -short
    laid = {(rope, i): straight(after, after.rig.ropes[rope].run, i) for i in spans}
    laid[rope, spans[-1]] += slack
    return after.with_laid(laid)


def _lets_out(moment: Moment, world: World, rope: str, short: float) -> None:
    """Refuse where a rope is not in a hand behind a device that lets it out."""
    k = last_device(moment, world, rope)
    device = None if k is None else moment.rig.gear[moment.rig.ropes[rope].run[k].target or ""]
    need = f"{rope} is {show_length(short)} too short to reach over the edge"
    if device is None:
        raise CannotError(need, f"give {rope} more slack first")
    if device.state == "locked-off":
        raise CannotError(
            f"{need}, and {device.name} is locked off", f"undo the lock-off of {device.name} first"
        )
    if moment.hand_of(rope) is None:
        raise CannotError(f"{need}, and nobody has a hand on it", f"put a hand on {rope} first")
    if world.catalogue[device.type].holding.bites and device.state != "in-hand":
        raise CannotError(f"{need}, and {device.name} is closed", f"open {device.name} first")
