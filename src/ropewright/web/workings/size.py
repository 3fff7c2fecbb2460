"""How large a rig is, and up to which size it is worked out while somebody waits or writes."""

from __future__ import annotations

from ropewright.rig import Rig

__all__ = ["MOST_AT_ONCE", "MOST_LIVE", "is_heavy", "size_of"]

MOST_AT_ONCE = 45
"""Parts and contacts beyond which a rig takes longer than a request may; the largest example has 27."""
MOST_LIVE = 120
"""Parts and contacts beyond which a rig is worked out once it is saved, not at every word, where it comes in
stages.
"""


def size_of(rig: Rig) -> int:
    """Its parts and contacts."""
    return sum(1 for _ in rig.parts()) + sum(len(rope.run) for rope in rig.ropes.values())


def is_heavy(rig: Rig) -> bool:
    """Whether it is worked out beside the server alone."""
    return size_of(rig) > MOST_AT_ONCE
