"""A rest of a whole rig from the rests of its lanes, and the other way round."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from ropewright.mechanics import Rest

from .assemble import Assembly

__all__ = ["rest_of_lane", "rest_of_whole"]


def rest_of_whole(whole: Assembly, found: Iterable[tuple[Assembly, Rest | None]]) -> Rest | None:
    """The rest of ``whole`` where every lane has its own; None where none has one. A lane without one stays
    where it is and pulls on nothing.
    """
    lanes = [(lane, rest) for lane, rest in found if rest is not None]
    if not lanes:
        return None
    system = whole.system
    position, laid = system.position.copy(), system.strands.laid.copy()
    tension, passed = np.zeros(len(system.strands)), np.zeros(len(system.contacts))
    strand = {(a.rope, a.index): k for k, (a, _) in enumerate(whole.ends)}
    contact = {(wire.rope, wire.index): k for k, wire in enumerate(whole.wires)}
    for lane, rest in lanes:
        for part, n in lane.node.items():
            position[whole.node[part]] = rest.position[n]
        at = [strand[a.rope, a.index] for a, _ in lane.ends]
        tension[at], laid[at] = rest.tension, rest.laid
        passed[[contact[wire.rope, wire.index] for wire in lane.wires]] = rest.passed
    residual = max(rest.residual for _, rest in lanes)
    return Rest(position, tension, laid, passed, residual, all(rest.settled for _, rest in lanes))


def rest_of_lane(lane: Assembly, whole: Assembly, rest: Rest) -> Rest:
    """What the rest of a whole rig says of one of its lanes."""
    strand = {(a.rope, a.index): k for k, (a, _) in enumerate(whole.ends)}
    contact = {(wire.rope, wire.index): k for k, wire in enumerate(whole.wires)}
    position = lane.system.position.copy()
    for part, n in lane.node.items():
        position[n] = rest.position[whole.node[part]]
    at = [strand[a.rope, a.index] for a, _ in lane.ends]
    passed = rest.passed[[contact[wire.rope, wire.index] for wire in lane.wires]]
    return Rest(position, rest.tension[at], rest.laid[at], passed, rest.residual, rest.settled)
