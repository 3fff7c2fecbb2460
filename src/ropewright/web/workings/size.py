"""How large a rig is, and up to which size it is worked out while somebody waits for the answer."""

from __future__ import annotations

from ropewright.rig import Rig

__all__ = ["MOST_AT_ONCE", "is_heavy", "size_of"]

MOST_AT_ONCE = 120
"""Parts and contacts beyond which working a rig out takes longer than a request or a pause in writing may."""


def size_of(rig: Rig) -> int:
    """Its parts and contacts."""
    return sum(1 for _ in rig.parts()) + sum(len(rope.run) for rope in rig.ropes.values())


def is_heavy(rig: Rig) -> bool:
    """Whether it is worked out beside the server alone."""
    return size_of(rig) > MOST_AT_ONCE
