"""The ropes of a prepared rig that somebody has to bring long enough."""

from __future__ import annotations

from collections.abc import Sequence

from ropewright.effort.pulls import Prepared
from ropewright.judgement.lengths import RopeNeed, rope_needs

__all__ = ["lanes", "line_needs"]


def line_needs(prepared: Prepared) -> tuple[RopeNeed, ...]:
    """Every rope that ends in a hand or hangs free; legs and bridles tied at both ends are left out, but for
    those that are too short.
    """
    return tuple(
        need
        for need in rope_needs(prepared.examination())
        if need.is_line or (need.has is not None and not need.is_enough(need.has))
    )


def lanes(needs: Sequence[RopeNeed], at_hand: Sequence[float]) -> int | None:
    """How many times over a rig's lines can be rigged from ropes of these lengths [m], each used once; None
    for a rig without a line. What is tied at both ends is cut to length and takes none of them.
    """
    lines = sorted((need for need in needs if need.is_line), key=lambda need: -need.needed)
    if not lines:
        return None
    ropes = sorted(at_hand, reverse=True)
    count = 0
    while len(ropes) >= len(lines) * (count + 1):
        wanted = [need for need in lines for _ in range(count + 1)]  # the longest need has the longest rope
        if not all(need.is_enough(length) for need, length in zip(wanted, ropes, strict=False)):
            break
        count += 1
    return count
