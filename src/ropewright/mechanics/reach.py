"""Who is held at all: a question of connection, answered before any number.

A segment of rope between contacts that hold can only give way if rope is fed into it from a free end past
contacts that let it through. One that can't be fed ties its two ends together: if something holds one end, it
holds the other and all that hangs in the bights between. What the rope merely passes on its way, an edge or a
sheave, holds nothing, even where a grab or device would be dragged up to it and might jam there; only a loop
that leads from a point round something held and back to the same point holds by it (docs/theory/settling.md).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
class _Run:
    """A segment led on through gates that let rope in: ``keepers`` stop rope coming in at its two ends.

    All ``nodes`` on it are held if a keeper is, by something other than its own ``chain``.
    """

    segment: int
    chain: int
    keepers: tuple[int, int]
    nodes: tuple[int, ...]


def held(system: System, hands: bool = True, opened: bool = False) -> Flags:
    """Whether each point (n,) is held: fixed, or tied to something held by rope that can't give way."""
    cut_ = cut(system, hands, opened)
    runs = _runs(system, cut_)
    falling: set[int] = set()
    while True:
        gives = fed(cut_, falling)
        firm = [run for run in runs if not gives[run.segment]]
        keeps, fired = _spread(system, firm)
        more = {r.segment for r in firm if r.segment not in fired and not all(keeps[n] for n in r.nodes)}
        if more <= falling:
            return keeps
        falling |= more


def _runs(system: System, cut_: Cut) -> list[_Run]:
    """Each segment, led on past gates that let rope in, to the contacts that stop rope coming in."""
    out = []
    for number, chain in enumerate(cut_.chains):
        ids = chain.segments
        for k, segment in enumerate(ids):
            first, last = k, k
            while first > 0 and chain.gates[first - 1] == "backward":  # lets rope come forward into it
                first -= 1
            while last < len(ids) - 1 and chain.gates[last] == "forward":
                last += 1
            a, b = cut_.segments[ids[first]].first, cut_.segments[ids[last]].last
            nodes = tuple(system.contacts[c].node for c in range(a, b + 1))
            out.append(_Run(segment, number, (nodes[0], nodes[-1]), nodes))
    return out


def _spread(system: System, firm: list[_Run]) -> tuple[Flags, set[int]]:
    """What is held by what is held already, until nothing more is; and the segments that hold."""
    by: list[set[int]] = [{-1} if fixed else set() for fixed in system.fixed]
    fired: set[int] = set()
    changed = True
    while changed:
        changed = False
        for run in firm:
            a, b = run.keepers
            loop = a == b and any(by[n] - {run.chain} for n in run.nodes[1:-1])
            if not (by[a] - {run.chain} or by[b] - {run.chain} or loop):
                continue
            fired.add(run.segment)
            for n in run.nodes:
                if run.chain not in by[n]:
                    by[n].add(run.chain)
                    changed = True
    return np.array([bool(chains) for chains in by], dtype=bool), fired


def touched(system: System, node: int) -> bool:
    """Whether any rope meets the point at all."""
    return any(c.node == node for c in system.contacts)
