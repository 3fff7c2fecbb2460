"""The page: each rig with its motions, ropes and people, then the rigs compared, then the figures."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill
from typing import TYPE_CHECKING

from ropewright.cli.caution import CAUTION
from ropewright.cli.terminal import clean

from .compare import comparison, least_words
from .counted import counted_on
from .people import table
from .ropes import lanes_words, ropes_at_hand
from .words import NAME, WIDTH, Answered, tally, wrapped

if TYPE_CHECKING:
    from ropewright.effort import Ask, Least, RigAnswer
    from ropewright.judgement.lengths import RopeNeed
    from ropewright.quantity import Range, Units

__all__ = ["page"]


def page(
    done: Sequence[Answered], least: Least, at_hand: Sequence[float], units: Units, in_brief: bool
) -> str:
    """Everything that is printed; ``in_brief`` one line for each rig."""
    parts = [_brief(each, at_hand, units) if in_brief else _block(each, at_hand, units) for each in done]
    if len(done) > 1:
        if not in_brief:
            parts.append(comparison(done, units))
        parts.append(least_words(done, least, units))
    if not in_brief:
        parts.append(counted_on(done, units))
    parts.append(fill(CAUTION, WIDTH))
    return ("\n" if in_brief else "\n\n").join(parts)


def _brief(each: Answered, at_hand: Sequence[float], units: Units) -> str:
    out = [o for o in each.answer.outlooks if o.verdict != "yes"]
    named = "; ".join(f"{clean(o.person.name, NAME)}: {o.verdict}" for o in out[:4])
    more = f" ({named}{f'; {len(out) - 4} more' if len(out) > 4 else ''})" if out else ""
    ropes = lanes_words(each.answer, at_hand, units)
    return f"{clean(each.path.name)}: {tally(each.answer)}{more}{f'; {ropes}' if ropes else ''}"


def _block(each: Answered, at_hand: Sequence[float], units: Units) -> str:
    a = each.answer
    lines = [f"{clean(each.path.name)}: {clean(a.prepared.rig.rig)}"]
    lines.append(wrapped(f"{_asked_of(a, units)}: {tally(a)}."))
    if a.crew is not None and a.crew.count:
        lines.append(
            "Yes says that the crew hauls at its sustained figure; at best case alone it is a maybe."
        )
    lines += _ways(a, units)
    lines += [wrapped(_line(need, units)) for need in a.lines]
    lines += [wrapped(text) for text in ropes_at_hand(a, at_hand, units)]
    if a.outlooks:
        lines += ["", table(a, units)]
    if a.left_out:
        names = [f"{clean(p.name, NAME)}{f' ({p.role.name})' if p.role.name else ''}" for p in a.left_out]
        shown = ", ".join(names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
        lines.append(wrapped(f"Neither on the rope nor hauling here: {shown}."))
    return "\n".join(lines)


def _asked_of(a: RigAnswer, units: Units) -> str:
    from ropewright.quantity import show_force

    whom = "The load as in the file" if a.of_load else "Each in the place of the load"
    if a.crew is None:
        return whom
    crew = f"{a.crew.count} {'hauler' if a.crew.count == 1 else 'haulers'} {a.crew.said}"
    gives = f"{show_force(a.crew.best, units)} at best case"
    if a.crew.sustained != a.crew.best:
        word = "sustained" if a.crew.team is None else "as stated"
        gives += f", {show_force(a.crew.sustained, units)} {word}"
    if a.crew.team is not None:
        gives += f", {show_force(a.crew.team, units)} by the team's figure"
    return f"{whom}, {crew} ({gives} together)"


def _ways(a: RigAnswer, units: Units) -> list[str]:
    """How the motions are made: they are the same for everybody, but for the number of pulls."""
    from ropewright.quantity import show_length

    out = []
    for ask in a.outlooks[0].asks if a.outlooks else ():
        made = ask.strokes
        text = f"{'Haul' if ask.direction > 0 else 'Lower'} {show_length(made.asked, units)}: "
        text += f"{show_length(ask.rope, units)} of rope through the hands"
        if ask.hands > 1:
            text += f" at each of {ask.hands} ropes"
        if ask.direction > 0:
            pulls = _whole([p for o in a.outlooks for each in o.asks for p in [each.pulls] if p])
            text += f" in {pulls} pulls" if pulls else ""
            text += f", {_resets(ask, units)}"
        out.append(wrapped(f"{text}."))
    return out


def _resets(ask: Ask, units: Units) -> str:
    from ropewright.quantity import show_length

    made = ask.strokes
    if made.resets is None:
        return f"and no way to reset after {show_length(made.reach, units)}"
    if made.resets == 0:
        return "no reset"
    times = "one reset" if made.resets == 1 else f"{made.resets} resets"
    return f"{times} of {clean(made.grab)}, a stroke being {show_length(made.reach, units)}"


def _whole(ranges: Sequence[Range]) -> str:
    if not ranges:
        return ""
    low, high = round(min(r.low for r in ranges)), round(max(r.high for r in ranges))
    return f"{max(1, low)}" if high <= max(1, low) else f"{max(1, low)}–{high}"


def _line(need: RopeNeed, units: Units) -> str:
    from ropewright.quantity import show_length

    def length(metres: float) -> str:
        return show_length(metres, units)

    has = "its length is not stated" if need.has is None else f"has {length(need.has)}"
    text = f"Rope {clean(need.rope)} needs {length(need.needed)}, {has}"
    if need.has is not None:
        text += ": enough" if need.is_enough(need.has) else ": refused"
    parts = [f"{length(need.runs)} as it hangs and runs"]
    if need.paid > 1e-3:
        parts.append(f"{length(need.paid)} paid out on the way")
    if need.reserve:
        where = " behind the releasable anchor" if need.releasable else ""
        parts.append(f"{length(need.reserve)} spare{where}")
    parts.append(f"{length(need.ends)} for anchor, knots and tail")
    if not need.ground:
        parts.append("no ground is drawn below it")
    return f"{text} ({', '.join(parts)})."
