"""The figures behind the verdicts, with where they come from."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill
from typing import TYPE_CHECKING

from .words import WIDTH, Answered

if TYPE_CHECKING:
    from ropewright.quantity import Units

__all__ = ["counted_on"]


def counted_on(done: Sequence[Answered], units: Units) -> str:
    """The figures behind the verdicts, with where they come from."""
    from ropewright.catalogue import CONFIDENCE
    from ropewright.effort import load_profiles
    from ropewright.quantity import show_range

    asks = [ask for each in done for o in each.answer.outlooks for ask in o.asks]
    wanted = list[str]()
    if any(ask.best for ask in asks):
        wanted += ["hauler-best-case", "hauler-sustained", "hauler-reach"]
    if any(ask.himself and ask.direction > 0 for ask in asks):
        wanted += ["self-haul-share", "self-haul-reach"]
    if any(ask.direction < 0 for ask in asks):
        wanted.append("grip-one-hand")
    if any(ask.time for ask in asks):
        wanted.append("power")
    lines = ["Counted on"]
    for name in wanted:
        p = load_profiles()[name]
        shown = f"{p.value.low:g}–{p.value.high:g} {p.unit}"
        if p.unit in ("N", "m"):
            shown = show_range(p.value, "force" if p.unit == "N" else "length", units)
        elif not p.unit:
            shown = f"{100 * p.value.low:.0f}–{100 * p.value.high:.0f} %"
        sure = "" if "no source" in p.source else f" ({CONFIDENCE[p.confidence]})"
        note = f"; {p.note}" if p.note else ""
        text = f"{name}: {shown}. {p.source}{sure}{note}."
        lines.append(fill(text, WIDTH, initial_indent="  ", subsequent_indent="    "))
    lines.append(
        fill(
            "Strengths and single failures are not worked out here: `ropewright check` does that, for the "
            "mass in the file.",
            WIDTH,
            initial_indent="  ",
            subsequent_indent="    ",
        )
    )
    return "\n".join(lines)
