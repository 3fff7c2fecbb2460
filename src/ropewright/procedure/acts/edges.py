"""Bringing a load over an edge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ropewright.judgement.state import State
from ropewright.procedure.laying import lay_in
from ropewright.procedure.model import Step
from ropewright.procedure.moment import Moment
from ropewright.procedure.world import World
from ropewright.rig import Contact

from .base import CannotError, Change

__all__ = ["past_edge"]


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
