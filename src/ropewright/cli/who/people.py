"""The table of the people at one rig, and why each can or can't."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from ropewright.cli.table import render_table
from ropewright.cli.terminal import clean

from .words import NAME, WIDTH

if TYPE_CHECKING:
    from ropewright.effort import Ask, Haulers, RigAnswer
    from ropewright.quantity import Range, Units

__all__ = ["table"]


def table(a: RigAnswer, units: Units) -> str:
    """Each person's pull, time and verdict, the reasons numbered below."""
    from ropewright.quantity import show_range

    notes = dict[str, int]()
    for o in a.outlooks:
        for reason in o.reasons:
            notes.setdefault(reason, len(notes) + 1)
    longest = max((o.asks for o in a.outlooks), key=len)
    head, right = ["who", "mass", "can"], [1]
    for ask in longest:
        head += _titles(ask)
        right += range(len(right) + 2, len(head))
    rows = []
    for o in a.outlooks:
        row = [clean(o.person.name, NAME), show_range(o.person.mass, "mass", units), o.verdict]
        for k, shape in enumerate(longest):
            row += _cells(o.asks[k], units) if k < len(o.asks) else ["–"] * len(_titles(shape))
        rows.append([*row, ", ".join(str(notes[r]) for r in o.reasons)])
    table = render_table([*head, "why"], rows, right=right)
    told = [
        fill(clean(text), WIDTH, initial_indent=f"{k:>3}  ", subsequent_indent="     ")
        for text, k in notes.items()
    ]
    return "\n".join([table, *told])


def _titles(ask: Ask) -> list[str]:
    if ask.direction < 0:
        return ["hold by hand"]
    if ask.himself:
        return ["pull by hand", "of weight", "at least"]
    return ["pull at the hand", "best case", "sustained", "at least"]


def _cells(ask: Ask, units: Units) -> list[str]:
    from ropewright.quantity import show_range

    force = show_range(ask.force, "force", units)
    if ask.direction < 0:
        return [force]
    if ask.himself:
        return [force, _percent(ask.share), _seconds(ask.time)]
    return [force, _haulers(ask.best), _haulers(ask.sustained), _seconds(ask.time)]


def _haulers(needed: Haulers | None) -> str:
    if needed is None:
        return "–"
    return (
        f"{needed.likely}" if needed.low == needed.high else f"{needed.likely} ({needed.low}–{needed.high})"
    )


def _percent(share: Range | None) -> str:
    if share is None:
        return "–"
    low, high = round(100 * share.low), round(100 * share.high)
    return f"{low} %" if low == high else f"{low}–{high} %"


def _seconds(time: Range | None) -> str:
    if time is None:
        return "–"
    if time.high < 90:
        return f"{max(1, round(time.low))}–{max(1, round(time.high))} s"
    return f"{time.low / 60:.1f}–{time.high / 60:.1f} min"
