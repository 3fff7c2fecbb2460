"""What of a rig holds one person but counts for nobody else, and brake hands that hold only somebody else."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.components import Key, named_joins
from ropewright.rig import Rig, hangs_on

__all__ = ["counts_not_for", "through_harness"]


def counts_not_for(rig: Rig, load: str) -> set[Key]:
    """The components that count for nothing when it is asked what holds one load.

    Another person's harness: what is tied to it, and what joins their gear to it. And the load's own hand on
    a rope that meets the load nowhere else: with it the load holds somebody else, not itself.
    """
    others = {x.name for x in rig.loads.values() if x.kind == "person" and x.name != load}
    out: set[Key] = {
        ("join", item.name, k)
        for item in rig.gear.values()
        if item.at in others
        for k, _, _ in named_joins(rig, item.name)
    }
    for rope in rig.ropes.values():
        met = [c.target and hangs_on(rig, c.target) for c in rope.run]
        last = len(rope.run) - 1
        for k, contact in enumerate(rope.run):
            if contact.verb == "tie" and contact.target in others:
                out.add(("tie", rope.name, k))
        if rope.run[-1].verb == "hand" and met[-1] == load and load not in met[:last]:
            out.add(("hand", rope.name, last))
    return out


def through_harness(rig: Rig, load: str) -> Iterator[tuple[str, str]]:
    """Ropes by which a load hangs on another person's harness, and that person."""
    people = {x.name for x in rig.loads.values() if x.kind == "person" and x.name != load}
    for rope in rig.ropes.values():
        tied = [c.target for c in rope.run if c.verb == "tie" and c.target]
        if load in tied:
            yield from ((rope.name, other) for other in tied if other in people)
