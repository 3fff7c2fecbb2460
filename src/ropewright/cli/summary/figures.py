"""The figures of a rig in words and tables: motion, forces, parts, limit, ropes, and what they rest on."""

import math

from ropewright.catalogue import CONFIDENCE, FIGURES
from ropewright.cli.summary.text import heading, paragraph, table
from ropewright.judgement.board import board
from ropewright.judgement.figures import Used
from ropewright.judgement.lengths import rope_needs
from ropewright.judgement.moved import CannotMove, Moved
from ropewright.judgement.parts import PartLoad
from ropewright.judgement.report import figures_used
from ropewright.judgement.rules import LOADED, Context, hands_of, in_state, limit_words, ratio
from ropewright.judgement.strokes import strokes
from ropewright.quantity import Range, first_system, show_range

__all__ = ["assumptions", "forces", "limit", "motion", "parts", "ropes"]

_SLACK = 0.5  # N; less is printed as slack


def motion(ctx: Context, moved: Moved | CannotMove | None) -> list[str]:
    """The haul or the lowering: count, advantage, hand, rope, strokes."""
    if moved is None or isinstance(moved, CannotMove):
        return []
    way = strokes(ctx.x, moved)
    up = moved.direction > 0
    lines = heading(f"{'Hauling' if up else 'Lowering'} {moved.load} {ctx.length(way.asked)}")
    actual = show_range(moved.actual, "share", likely=True)
    written = board(moved)
    kind = written.trace.classified
    if up:
        count = f"counted {written.counted}" if written.counted else f"no count ({written.trace.counted.why})"
        lines += paragraph(f"{count}, ideal {moved.ideal:.2f}, with friction {actual}")
        lines += paragraph(kind.text) if kind else []
        for text in _variants(moved, written.variants.climber, written.variants.ground):
            lines += paragraph(text)
    else:
        lines += paragraph(f"the load is {actual} times what the hand holds")
    places = ", ".join(hands_of(moved))
    hand = show_range(moved.hand_force, "force", ctx.units, likely=True)
    lines += paragraph(f"{'pull' if up else 'hold'} at {places}: {hand}")
    each = ("ft", "foot") if first_system(ctx.units) == "us" else ("m", "metre")
    of = f"of {'haul' if up else 'lowering'}, {ctx.length(way.rope)} in all"
    lines += paragraph(f"{moved.rope_per_metre:.3g} {each[0]} of rope for each {each[1]} {of}")
    if way.meets and way.resets:
        lines += paragraph(
            f"strokes of {ctx.length(way.reach)} ({way.meets[0]} then meets {way.meets[1]}), {way.resets} "
            f"reset{'s' if way.resets > 1 else ''} of {way.grab}"
        )
    elif way.meets and way.ends in ("top", "ground", "lost"):
        lines += paragraph(f"ends after {ctx.length(way.reach)}, as said above")
    elif way.meets and way.tight:
        rope = f"the rope from {way.meets[0]} to {way.meets[1]}"
        lines += paragraph(f"ends after {ctx.length(way.reach)}, where {rope} comes tight")
    elif way.meets:
        lines += paragraph(f"one stroke of {ctx.length(way.reach)}, then {way.meets[0]} meets {way.meets[1]}")
    else:
        along = f"; {way.follows} is moved along by hand" if way.follows else ""
        lines += paragraph(f"one stroke, no resets{along}")
    if moved.matters:
        shares = ", ".join(f"{name} {100 * share:.0f} %" for name, share in moved.matters)
        lines += paragraph(f"what the spread in the hand comes from: {shares}")
    return lines


def _variants(moved: Moved, climber: str | None, ground: str | None) -> list[str]:
    if climber and ground and moved.load in hands_of(moved):
        return [f"pulled from the ground the same reeving counts {ground}"]
    if climber and ground:
        return [f"with the hand given to {moved.load}, the same reeving counts {climber}"]
    return []


def forces(ctx: Context) -> list[str]:
    """Tension of every strand in every state."""
    x = ctx.x
    columns = [(m, "hauling" if m.direction > 0 else "lowering") for m in ctx.motions]
    if not columns and x.rest is None:
        return []
    head = ["rope", "strand", *(name for _, name in columns), *(["at rest"] if x.rest else [])]
    rows = []
    for k in range(len(x.assembly.system.strands)):
        start, end = x.assembly.strand_ends(k)
        if end.contact.verb == "tail":
            continue
        row = [start.rope, f"{start.contact.target} to {end.contact.target}"]
        row += [_tension(ctx, moved.tension(k)) for moved, _ in columns]
        if x.rest is not None:
            row.append(_bounds(ctx, float(x.rest.low[k]), float(x.rest.high[k])))
        rows.append(row)
    return [*heading("Tension in the rope (low to high)"), *table(head, rows)]


def _tension(ctx: Context, value: Range) -> str:
    return "slack" if value.high < _SLACK else show_range(value, "force", ctx.units)


def _bounds(ctx: Context, low: float, high: float) -> str:
    if not math.isfinite(high):
        return f"{ctx.force(low)} or more"
    return _tension(ctx, Range(min(low, high), min(low, high), high))


def parts(ctx: Context) -> list[str]:
    """Every part that carries load, now or after a failure, against its strength."""
    rows = [row for part in ctx.x.parts if (row := _part(ctx, part))]
    if not rows:
        return []
    rows += _caught(ctx)
    head = ("part", "load", "bears", "factor", "", "when")
    return [
        *heading("Parts (greatest load), factor to breaking/asked"),
        *table(head, rows, right=(3,), wrap_last=True),
    ]


def _part(ctx: Context, part: PartLoad) -> tuple[str, ...] | None:
    load, state, now = ctx.carried(part)
    if load < LOADED:
        return None
    when = in_state(state) if now else state
    asked = ctx.asked(part.part)
    if part.strength is None:
        return part.part, ctx.force(load), "not known", f"–/{asked:g}", "NOT KNOWN", when
    factor = part.strength / load
    said = "within" if factor >= asked else "BELOW"
    if not now and 1.0 <= factor < asked and (part.factor is None or part.factor >= asked):
        said = "after a failure"
    return (
        part.part,
        ctx.force(load),
        ctx.force(part.strength),
        f"{ratio(factor, asked)}/{asked:g}",
        said,
        when,
    )


def _caught(ctx: Context) -> list[tuple[str, ...]]:
    """The part that a catch brings nearest its strength; no static factor is asked of a catch."""
    if ctx.hardest_caught is None:
        return []
    part, force, label = ctx.hardest_caught
    strength = part.strength or 0.0
    said = "bears" if strength >= force else "BREAKS"
    factor = f"{ratio(strength / force, 1.0)}/–"
    when = f"catching, if {label} fails"
    return [(f"{part.part}, catching", ctx.force(force), ctx.force(strength), factor, said, when)]


def limit(ctx: Context) -> list[str]:
    """What goes first, at which multiple of the loads, and whether that is a break."""
    return [*heading("Limit"), *paragraph(limit_words(ctx))]


def ropes(ctx: Context) -> list[str]:
    """What each rope must be long."""
    rows = [
        (
            need.rope,
            "not known" if need.has is None else ctx.length(need.has),
            ctx.length(need.needed),
            ctx.length(need.runs),
            _more(ctx, need.paid),
            _more(ctx, need.reserve),
            _more(ctx, need.ends),
        )
        for need in rope_needs(ctx.x)
    ]
    if not rows:
        return []
    head = ("rope", "is long", "needs", "hangs and runs", "on the way", "reserve", "anchor, knots, tail")
    return [*heading("Rope"), *table(head, rows)]


def _more(ctx: Context, length: float) -> str:
    return "–" if length < 1e-3 else ctx.length(length)


def assumptions(ctx: Context) -> list[str]:
    """Every figure used that the rig file does not state itself, with its source."""
    used = [u for u in figures_used(ctx.x) if u.confidence != "N" and u.key in FIGURES]
    if not used:
        return []
    lines = heading("Figures of the catalogue (`ropewright catalogue TYPE` has the notes)")
    ours = [f"{u.name} {_value(ctx, u)}" for u in used if u.confidence == "A"]
    if ours:
        lines += paragraph(f"planning assumptions, no published figure: {'; '.join(ours)}")
    sourced = [(u.name, _value(ctx, u), u.source or CONFIDENCE[""]) for u in used if u.confidence != "A"]
    if sourced:
        lines += table(("figure", "value", "source"), sourced, wrap_last=True)
    return lines


def _value(ctx: Context, used: Used) -> str:
    if used.value is None:
        return "not known"
    catalogue = ctx.catalogue
    known = used.by in catalogue and used.key in catalogue[used.by].figures
    kind = catalogue[used.by].key_kind(used.key).kind if known else FIGURES[used.key].kind
    return show_range(used.value, kind, ctx.units)
