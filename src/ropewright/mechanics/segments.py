"""A rope cut where contacts hold it: segments, and the chains that one-way contacts make of them.

Between two segments stands a contact that holds. One that holds both ways keeps their lengths apart; one
that holds one way lets rope through the other way.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .model import Array, Contact, Holds, Ints, System


@dataclass(frozen=True, slots=True)
class Segment:
    """Strands between two holding contacts, numbered with the contacts and segments of one rope or of all.

    ``open`` means an end of it hangs free, so it carries nothing.
    """

    strands: tuple[int, ...]
    open: bool
    first: int  # contact at its start
    last: int  # contact at its end


@dataclass(frozen=True, slots=True)
class Chain:
    """Segments joined by one-way contacts: ``gates[k]`` is what the contact between segment k and k+1
    holds.
    """

    segments: tuple[int, ...]
    gates: tuple[Holds, ...]


@dataclass(frozen=True, slots=True)
class Division:
    """One rope's segments and chains, its own contacts, strands and segments counted from 0."""

    segments: tuple[Segment, ...]
    chains: tuple[Chain, ...]


@dataclass(frozen=True)
class Cut:
    """All segments and chains of a system for one choice of what holds, numbered through all its ropes.

    ``member`` (S,) is each strand's segment.
    """

    segments: tuple[Segment, ...]
    chains: tuple[Chain, ...]
    member: Ints
    laid: Array
    compliance: Array  # Σ L/EA of each segment [m/N]


def holding(contact: Contact, hands: bool, opened: bool) -> Holds:
    """What a contact holds: an end without a hand holds nothing, an opened device nothing."""
    if contact.end:
        return "both" if contact.end == "hand" and hands else "none"
    return "none" if opened and contact.opens else contact.holds


def lets_in(holds: Holds, *, first: bool) -> bool:
    """Whether the contact at an end of a run lets rope in past it, so that the end is pulled through it.

    At the first contact that is rope going forward, at the last rope going backward: a grab there holds
    only if it bites against that.
    """
    return holds in (("none", "backward") if first else ("none", "forward"))


@lru_cache(maxsize=4096)
def divide(holds: tuple[Holds, ...]) -> Division:
    """Cut one rope where its contacts hold: ``holds`` is what each contact of its run does, in order.

    Remembered, because few patterns come up however often a rig is asked about.
    """
    segments: list[Segment] = []
    chains: list[Chain] = []
    chain: list[int] = []
    gates: list[Holds] = []
    last = len(holds) - 1
    begin = 0
    for k in range(1, last + 1):
        if k < last and holds[k] == "none":
            continue
        loose = (begin == 0 and lets_in(holds[0], first=True)) or (
            k == last and lets_in(holds[k], first=False)
        )
        chain.append(len(segments))
        segments.append(Segment(tuple(range(begin, k)), loose, begin, k))
        if k == last or holds[k] == "both":
            chains.append(Chain(tuple(chain), tuple(gates)))
            chain, gates = [], []
        else:
            gates.append(holds[k])
        begin = k
    return Division(tuple(segments), tuple(chains))


_Pieces = tuple[tuple[Segment, ...], tuple[Chain, ...], tuple[int, ...]]


@lru_cache(maxsize=1024)
def _cut_as(runs: tuple[tuple[Holds, ...], ...]) -> _Pieces:
    """All segments and chains of ropes with such holds, and each strand's segment."""
    segments: list[Segment] = []
    chains: list[Chain] = []
    member: list[int] = []
    flat = strand = 0
    for holds in runs:
        divided = divide(holds)
        before = len(segments)
        for own in divided.segments:
            member += [len(segments)] * len(own.strands)
            strands = tuple(strand + k for k in own.strands)
            segments.append(Segment(strands, own.open, flat + own.first, flat + own.last))
        chains += [Chain(tuple(before + k for k in c.segments), c.gates) for c in divided.chains]
        flat += len(holds)
        strand += len(holds) - 1
    return tuple(segments), tuple(chains), tuple(member)


def cut(system: System, hands: bool = True, opened: bool = False) -> Cut:
    """Cut every rope at its holding contacts; ``hands``: hands grip the rope; ``opened``: devices held
    open.
    """
    runs = tuple(tuple([holding(c, hands, opened) for c in rope.contacts]) for rope in system.ropes)
    segments, chains, of_strand = _cut_as(runs)
    member, s = np.array(of_strand, dtype=np.int64), system.strands
    gives = np.maximum(s.laid, 1e-3) / s.stiffness
    laid, compliance = (np.bincount(member, each, len(segments)) for each in (s.laid, gives))
    return Cut(segments, chains, member, laid.astype(np.float64), compliance.astype(np.float64))
