"""The ropes of a prepared rig that somebody has to bring long enough."""

from __future__ import annotations

from ropewright.effort.pulls import Prepared
from ropewright.judgement.lengths import RopeNeed, rope_needs

__all__ = ["line_needs"]


def line_needs(prepared: Prepared) -> tuple[RopeNeed, ...]:
    """Every rope that ends in a hand or hangs free; legs and bridles tied at both ends are left out, but for
    those that are too short.
    """
    return tuple(
        need
        for need in rope_needs(prepared.examination())
        if need.is_line or (need.has is not None and not need.is_enough(need.has))
    )
