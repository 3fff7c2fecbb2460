"""Who is held at all: a question of connection, answered before any number.

A segment of rope between contacts that hold can only give way if rope is fed into it from a free end past
contacts that let it through. One that cannot be fed keeps the points on it together; points kept together
with something fixed are held. This is exact for ropes of any stiffness: the energy of the rig has a floor
just when every load is so held (docs/theory/settling.md).
"""

from __future__ import annotations

import numpy as np

from .model import Flags, System
from .segments import Cut, cut


def fed(cut_: Cut) -> Flags:
    """Whether each segment (K,) can be fed without end from a free end, the gates letting rope through
    their way.
    """
    out = np.array([segment.open for segment in cut_.segments], dtype=bool)
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
    """Whether each point (n,) is held: fixed, or tied to something fixed by rope that cannot give way."""
    cut_ = cut(system, hands, opened)
    gives = fed(cut_)
    parent = list(range(len(system.position)))

    def find(a: int) -> int:
        while parent[a] != a:
            parent[a] = parent[parent[a]]
            a = parent[a]
        return a

    ground = int(np.flatnonzero(system.fixed)[0]) if system.fixed.any() else -1
    for n in np.flatnonzero(system.fixed):
        parent[find(int(n))] = find(ground)
    start, end = system.strands.start.tolist(), system.strands.end.tolist()
    for k, segment in enumerate(cut_.segments):
        if gives[k]:
            continue
        for s in segment.strands:
            parent[find(start[s])] = find(end[s])
    if ground < 0:
        return np.zeros(len(system.position), dtype=bool)
    root = find(ground)
    return np.array([find(n) == root for n in range(len(system.position))], dtype=bool)


def touched(system: System, node: int) -> bool:
    """Whether any rope meets the point at all."""
    return any(c.node == node for c in system.contacts)
