"""The figures of a rig on its card: motion and strokes, the count, tensions, margins."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ropewright.judgement.board import Board, board
from ropewright.judgement.moved import CannotMove, Moved
from ropewright.judgement.parts import PartLoad
from ropewright.judgement.rules import LOADED, UNBROKEN, Context, hands_of, limit_words, ratio
from ropewright.judgement.strokes import strokes
from ropewright.judgement.trace import Step
from ropewright.quantity import Range, in_units, show_range

from .model import Line, Section, Table
from .words import counted, listed

__all__ = ["SLACK", "margins", "motions", "tensions"]

SLACK = 0.5
"""Tension [N] below which a strand is called slack."""


def motions(ctx: Context) -> Iterator[Section]:
    """For the haul and the lowering: what the hand has to do, and the count as it stands on a whiteboard."""
    for moved in (ctx.x.haul, ctx.x.lower):
        if isinstance(moved, Moved):
            written = board(moved)
            way = "Hauling" if moved.direction > 0 else "Lowering"
            title = f"{way} {moved.load} {ctx.length(strokes(ctx.x, moved).asked)}"
            yield Section(f"{way.lower()}", title, (*_count(moved, written), *_hand(ctx, moved)))
            if written.trace.counted.ratio is not None:
                lines = [_step(ctx, k, step) for k, step in enumerate(written.trace.steps, 1)]
                title = f"The count, {way.lower()} [with friction]"
                yield Section(f"trace-{way.lower()}", title, tuple(lines), spare=2)
        elif isinstance(moved, CannotMove):
            way = "Hauling" if moved.direction > 0 else "Lowering"
            yield Section(
                way.lower(),
                f"{way} {moved.load}",
                (Line("the stop above says why", "can't be done:", "", True),),
            )


def _count(moved: Moved, written: Board) -> Iterator[Line]:
    actual = show_range(moved.actual, "share", likely=True)
    if moved.direction < 0:
        yield Line(f"{actual} times what the hand holds", "the load is")
        return
    kind, why = written.trace.classified, written.trace.counted.why
    count = f"counted {written.counted}" if written.counted else f"no count ({why})"
    both = written.variants
    if both.climber and both.ground:
        own = moved.load in hands_of(moved)
        count += (
            f" (from the ground {both.ground})" if own else f" (by {moved.load}'s own hands {both.climber})"
        )
    yield Line(f"ideal {moved.ideal:.2f}, with friction {actual}", f"{count},", kind.text if kind else "")


def _hand(ctx: Context, moved: Moved) -> Iterator[Line]:
    way, up = strokes(ctx.x, moved), moved.direction > 0
    force = show_range(moved.hand_force, "force", ctx.units, likely=True)
    yield Line(force, f"{'pull' if up else 'hold'} at {listed(hands_of(moved))}:")
    rope = f"{moved.rope_per_metre:.2f} m for each metre, {ctx.length(way.rope)} in all"
    if way.meets and way.resets:
        made = f"{way.resets + 1} of {ctx.length(way.reach)} or less, with "
        made += f"{counted(way.resets, 'reset')} of {way.grab}"
        made += f" ({way.meets[0]} then meets {way.meets[1]})"
    elif way.meets:
        made = f"one of {ctx.length(way.reach)}, then {listed(way.meets)} meet"
    else:
        yield Line(f"{rope}, in one stroke", "rope through the hand:")
        return
    yield Line(f"{rope}; strokes: {made}", "rope through the hand:")


def _step(ctx: Context, number: int, step: Step) -> Line:
    """A line of the board; of a sheave only the force on it, since the tensions have a table of their own."""
    force = f" [{ctx.force(step.forces[-1].newtons)}]" if step.forces else ""
    return Line(f"{step.text}{force}", f"{number}.", "", step.kind == "result")


def tensions(ctx: Context) -> Section | None:
    """Every strand's tension in every state; those that are slack in all of them in a line below."""
    x = ctx.x
    columns = [(m, "hauling" if m.direction > 0 else "lowering") for m in ctx.motions]
    if not columns and x.rest is None:
        return None
    several = len(ctx.rig.ropes) > 1
    rows, slack = list[tuple[str, ...]](), list[str]()
    for k in range(len(x.assembly.system.strands)):
        start, end = x.assembly.strand_ends(k)
        if end.contact.verb == "tail":
            continue
        name = f"{start.contact.target} to {end.contact.target}"
        name = f"{start.rope}: {name}" if several else name
        cells = [_tension(ctx, moved.tension(k)) for moved, _ in columns]
        if x.rest is not None:
            cells.append(_bounds(ctx, float(x.rest.low[k]), float(x.rest.high[k])))
        if all(cell == "slack" for cell in cells):
            slack.append(name)
        else:
            rows.append((name, *cells))
    states = [*(name for _, name in columns), *(["at rest"] if x.rest else [])]
    head = ("strand", *(f"{name}, {unit(ctx)}" for name in states))
    after = (Line("; ".join(slack), "slack:"),) if slack else ()
    table = Table(head, tuple(rows)) if rows else None
    return Section("tensions", "Tension in the rope, low to high", table=table, after=after, spare=1)


def unit(ctx: Context) -> str:
    """The unit of a column of forces, for its head."""
    return in_units("kN", "lbf", ctx.units)


def bare(force: str) -> str:
    """A force without its units, which stand in the head of the column."""
    return force.replace(" kN", "").replace(" lbf", "")


def _tension(ctx: Context, value: Range) -> str:
    return "slack" if value.high < SLACK else bare(show_range(value, "force", ctx.units))


def _bounds(ctx: Context, low: float, high: float) -> str:
    if not math.isfinite(high):
        return f"{bare(ctx.force(low))} or more" if low >= SLACK else "any tension"
    return _tension(ctx, Range(min(low, high), min(low, high), high))


def _when(state: str) -> str:
    """A state in a narrow column: `rest`, `hauling`, and `hauling, late` near the end of a stroke."""
    way, _, late = state.partition(",")
    return f"{way.removeprefix('at ')}{', late' if late else ''}"


def _below(ctx: Context, part: PartLoad) -> bool:
    """Whether a part keeps less than the factor with nothing failed."""
    return part.factor is not None and part.factor < ctx.asked(part.part)


def margins(ctx: Context) -> Section:
    """Every part that carries load against its strength; joins of one type and strength in one row."""
    groups: dict[tuple[str, ...], list[tuple[float, float, PartLoad, str]]] = {}
    for part in ctx.x.parts:
        load, _, now = ctx.carried(part)
        if load < LOADED:
            continue
        factor = math.inf if part.strength is None else part.strength / load
        when = _when(part.state) if now else "failure"
        kind = part.part.partition(" of ")[0].rstrip("0123456789 ") if part.kind == "join" else part.part
        groups.setdefault((kind, str(part.strength)), []).append((factor, -load, part, when))
    rows, strong = list[tuple[str, ...]](), list[int]()
    for (kind, _), found in groups.items():
        factor, negative, part, when = min(found, key=lambda f: f[:2])
        short = any(_below(ctx, p) for _, _, p, _ in found)
        if part.strength is None or factor < 1.0 or short:
            strong.append(len(rows))
        asked = ctx.asked(part.part)
        if when == "failure" and factor < asked and not short:
            asked = UNBROKEN  # it keeps the policy's factor with nothing failed; now it must only not break
        name = kind if part.kind != "join" or len(found) == 1 else f"{len(found)} × {kind}"
        name = part.part if len(found) == 1 else name
        bears, said = "NOT KNOWN", "–"
        if part.strength is not None:
            bears, said = bare(ctx.force(part.strength)), ratio(factor, asked)
        rows.append((name, bare(ctx.force(-negative)), bears, f"{said} of {asked:g}", when))
    limit = Line(limit_words(ctx), "the whole rig:", "", ctx.x.limit is None)
    if not rows:
        return Section("parts", "Margins", (limit,))
    if ctx.hardest_caught is not None:
        catches, force, _ = ctx.hardest_caught
        strength = catches.strength or 0.0
        if strength < force:
            strong.append(len(rows))
        held = f"{ratio(strength / force, UNBROKEN)} of {UNBROKEN:g}"
        cells = (bare(ctx.force(force)), bare(ctx.force(strength)), held)
        rows.append((f"{catches.part}, catching", *cells, "catch"))
    head = ("part", f"load, {unit(ctx)}", f"bears, {unit(ctx)}", "has of asked", "when")
    table = Table(head, tuple(rows), tuple(strong))
    return Section("parts", "Margins at the greatest load", table=table, after=(_asked(ctx), limit))


def _asked(ctx: Context) -> Line:
    """What the factors are held against."""
    own = {ctx.asked(name) for name in ctx.rig.gear} - {ctx.factor}
    grabs = f", grabs {' and '.join(f'{each:g}' for each in sorted(own))}" if own else ""
    text = f"{ctx.factor:g} to breaking{grabs}; after a failure {UNBROKEN:g}"
    return Line(text, "asked:")
