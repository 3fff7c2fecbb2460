"""Who is held at all: a question of connection, answered before any number.

A segment of rope between contacts that hold can only give way if rope is fed into it from a free end past
contacts that let it through. One that can't be fed ties its two ends together: if something holds one end, it
holds the other and all that hangs in the bights between. What the rope merely passes on its way, an edge or a
sheave, holds nothing, even where a grab or device would be dragged up to it and might jam there; only a loop
that leads from a point round something held and back to the same point holds by it (docs/theory/settling.md).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .model import Flags, Holds, System
from .segments import Cut, Division, divide, holding

Run = tuple[Sequence[int], tuple[Holds, ...]]
"""A rope for the question of connection: the point at each of its contacts, and what each contact holds."""


def fed(cut_: Cut, giving: Iterable[int] = ()) -> Flags:
    """Whether each segment (K,) can be fed without end, the gates letting rope through their way.

    From a free end, or from a segment of ``giving``, whose own ends fall away.
    """
    return np.array(_feed(cut_, giving), dtype=bool)


def _feed(divided: Cut | Division, giving: Iterable[int]) -> list[bool]:
    out = [segment.open for segment in divided.segments]
    for k in giving:
        out[k] = True
    for chain in divided.chains:
        ids = chain.segments
        for k in range(1, len(ids)):  # rope going forward, past gates that hold only backward
            if out[ids[k - 1]] and chain.gates[k - 1] == "backward":
                out[ids[k]] = True
        for k in range(len(ids) - 2, -1, -1):  # rope going backward, past gates that hold only forward
            if out[ids[k + 1]] and chain.gates[k] == "forward":
                out[ids[k]] = True
    return out


@dataclass(frozen=True, slots=True)
class _Reach:
    """A segment led on through gates that let rope in, to the contacts ``first`` and ``last`` of its rope
    that stop rope coming in.
    """

    segment: int
    chain: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class _Tie:
    """A segment as it ties points together: ``keepers`` stop rope coming in at its two ends.

    All ``nodes`` on it are held if a keeper is, by something other than its own chain, whose bit alone is
    missing from ``others``.
    """

    rope: int
    segment: int
    chain: int
    others: int
    keepers: tuple[int, int]
    nodes: Sequence[int]


def held(system: System, hands: bool = True, opened: bool = False) -> Flags:
    """Whether each point (n,) is held: fixed, or tied to something held by rope that can't give way."""
    runs = [
        ([c.node for c in rope.contacts], tuple(holding(c, hands, opened) for c in rope.contacts))
        for rope in system.ropes
    ]
    return np.array(connected(runs, system.fixed.tolist()), dtype=bool)


def connected(runs: Sequence[Run], fixed: Sequence[bool]) -> list[bool]:
    """Whether each point is held, from ropes as ``runs`` and whether each point is ``fixed``.

    This is `held` without a system: it asks neither for positions nor for lengths.
    """
    ties = _ties(runs)
    falling: dict[int, set[int]] = {}
    while True:
        by = [int(f) for f in fixed]
        idle = _spread(ties, by)
        more = [tie for tie in idle if not all(by[n] for n in tie.nodes)]
        if not more:
            return [bool(chains) for chains in by]
        for tie in more:
            falling.setdefault(tie.rope, set()).add(tie.segment)
        ropes = {tie.rope for tie in more}
        gives = {rope: _feed(divide(runs[rope][1]), falling[rope]) for rope in ropes}
        ties = [tie for tie in ties if tie.rope not in ropes or not gives[tie.rope][tie.segment]]


@lru_cache(maxsize=4096)
def _firm(holds: tuple[Holds, ...]) -> tuple[_Reach, ...]:
    """The segments of one rope that can't be fed while nothing falls away, each as far as it reaches."""
    divided = divide(holds)
    gives = _feed(divided, ())
    out = []
    for number, chain in enumerate(divided.chains):
        ids = chain.segments
        for k, segment in enumerate(ids):
            if gives[segment]:
                continue
            first, last = k, k
            while first > 0 and chain.gates[first - 1] == "backward":  # lets rope come forward into it
                first -= 1
            while last < len(ids) - 1 and chain.gates[last] == "forward":
                last += 1
            a, b = divided.segments[ids[first]].first, divided.segments[ids[last]].last
            out.append(_Reach(segment, number, a, b))
    return tuple(out)


def _ties(runs: Sequence[Run]) -> list[_Tie]:
    """What ties points together while nothing falls away; each chain has a bit, 1 being what is fixed."""
    out = []
    bit = 2
    for rope, (nodes, holds) in enumerate(runs):
        firm = _firm(holds)
        for reach in firm:
            chain = bit << reach.chain
            keepers = (nodes[reach.first], nodes[reach.last])
            on_it = nodes[reach.first : reach.last + 1]
            out.append(_Tie(rope, reach.segment, chain, ~chain, keepers, on_it))
        if firm:
            bit <<= firm[-1].chain + 1
    return out


def _spread(ties: Collection[_Tie], by: list[int]) -> list[_Tie]:
    """Hold what is tied to something held already, until nothing more is; the ties that hold nothing.

    ``by`` has the bits of the chains that hold each point, and is filled in.
    """
    idle = list(ties)
    while True:
        left = []
        for tie in idle:
            a, b = tie.keepers
            others = tie.others
            if (by[a] | by[b]) & others or (a == b and any(by[n] & others for n in tie.nodes[1:-1])):
                for n in tie.nodes:
                    by[n] |= tie.chain
            else:
                left.append(tie)
        if len(left) == len(idle):
            return left
        idle = left


def touched(system: System, node: int) -> bool:
    """Whether any rope meets the point at all."""
    return any(c.node == node for c in system.contacts)
