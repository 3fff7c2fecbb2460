"""The ropes at hand: which of them do, and how many lanes they rig together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ropewright.cli.terminal import clean

if TYPE_CHECKING:
    from ropewright.effort import RigAnswer
    from ropewright.quantity import Units

__all__ = ["lanes_words", "ropes_at_hand"]


def ropes_at_hand(a: RigAnswer, at_hand: Sequence[float], units: Units) -> list[str]:
    """A line for each length at hand with how many there are of it, then how many lanes they rig."""
    from ropewright.quantity import show_length

    lines = [need for need in a.lines if need.is_line]
    if not lines:
        return []
    out = []
    for length, count in Counter(at_hand).items():
        long, one = show_length(length, units), count == 1
        does, refused = ("does", "is refused") if one else ("do", "are refused")
        said = f"A rope of {long}" if one else f"{count} ropes of {long}"
        short = [n for n in lines if not n.is_enough(length)]
        if not short:
            out.append(f"{said} {does} for every line here.")
            continue
        needs = ", ".join(f"{clean(n.rope)} needs {show_length(n.needed, units)}" for n in short)
        where = "" if len(short) == len(lines) else " for some lines"
        out.append(f"{said} {refused}{where}: {needs}.")
    words = lanes_words(a, at_hand, units)
    return [*out, f"{words[:1].upper()}{words[1:]}."] if words else out


def lanes_words(a: RigAnswer, at_hand: Sequence[float], units: Units) -> str:
    """`the 6 ropes at hand rig 2 lanes of 2 ropes each`; empty where there are none or no line."""
    from ropewright.effort import lanes
    from ropewright.quantity import show_length

    count = lanes(a.lines, at_hand) if at_hand else None
    if count is None:
        return ""
    lines = [need for need in a.lines if need.is_line]
    one = len(at_hand) == 1
    said = "the rope at hand rigs" if one else f"the {len(at_hand)} ropes at hand rig"
    each = f"of {len(lines)} {'rope' if len(lines) == 1 else 'ropes'} each"
    if count:
        return f"{said} {count} {'lane' if count == 1 else 'lanes'} {each}"
    needs = ", ".join(f"{clean(n.rope)} needs {show_length(n.needed, units)}" for n in lines)
    return f"{said} NO lane {each}: {needs}"
