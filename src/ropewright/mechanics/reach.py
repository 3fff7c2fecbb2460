"""Who is held at all: a question of connection, answered before any number.

A segment of rope between contacts that hold can only give way if rope is fed into it from a free end past
contacts that let it through. One that can't be fed ties its two ends together: if something holds one end, it
holds the other and all that hangs in the bights between. What the rope merely passes on its way, an edge or a
sheave, holds nothing, even where a grab or device would be dragged up to it and might jam there; only a loop
that leads from a point round something held and back to the same point holds by it (docs/theory/settling.md).
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from .model import Flags, System
from .segments import Cut, cut


def fed(cut_: Cut, giving: Iterable[int] = ()) -> Flags:
    """Whether each segment (K,) can be fed without end, the gates letting rope through their way.

    From a free end, or from a segment of ``giving``, whose own ends fall away.
    """
    out = np.array([segment.open for segment in cut_.segments], dtype=bool)
    out[list(giving)] = True
    for chain in cut_.chains:
        ids = chain.segments
        for k in range(1, len(ids)):  # rope going forward, past gates that hold only backward
            if out[ids[k - 1]] and chain.gates[k - 1] == "backward":
                out[ids[k]] = True
        for k in range(len(ids) - 2, -1, -1):  # rope going backward, past gates that hold only forward
            if out[ids[k + 1]] and chain.gates[k] == "forward":
                out[ids[k]] = True
    return out


def held(system: System, hands: bool = True, opened: bool = False) -> Flags:
    """Whether each point (n,) is held: fixed, or tied to something held by rope that can't give way."""
    cut_ = cut(system, hands, opened)
    ends = [(_node(system, s.first), _node(system, s.last)) for s in cut_.segments]
    passed = [[_node(system, c) for c in range(s.first + 1, s.last)] for s in cut_.segments]
    falling: set[int] = set()
    while True:
        gives = fed(cut_, falling)
        firm = [k for k in range(len(ends)) if not gives[k]]
        keeps = _spread(system.fixed.copy(), firm, ends, passed)
        more = {k for k in firm if not keeps[ends[k][0]]}
        if more <= falling:
            return keeps
        falling |= more


def _node(system: System, contact: int) -> int:
    return system.contacts[contact].node


def _spread(keeps: Flags, firm: list[int], ends: list[tuple[int, int]], passed: list[list[int]]) -> Flags:
    """What is held by what is held already, until nothing more is."""
    changed = True
    while changed:
        changed = False
        for k in firm:
            a, b = ends[k]
            if a == b and not keeps[a] and any(keeps[p] for p in passed[k]):
                keeps[a] = keeps[b] = changed = True
            if keeps[a] or keeps[b]:
                for n in (a, b, *passed[k]):
                    changed |= not keeps[n]
                    keeps[n] = True
    return keeps


def touched(system: System, node: int) -> bool:
    """Whether any rope meets the point at all."""
    return any(c.node == node for c in system.contacts)
