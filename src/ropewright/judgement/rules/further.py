"""What goes worse further on the way than where the rig is drawn."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.letting_go import UNKNOWN
from ropewright.judgement.moved import Moved
from ropewright.judgement.rules.base import Context, Finding, Level
from ropewright.judgement.rules.holding import NOT_SOLVED
from ropewright.judgement.rules.near_ground import held_beneath

__all__ = ["find"]

MORE = 1.05
"""Ratio from which a pull near the end of a stroke is told."""


def find(ctx: Context) -> Iterator[Finding]:
    """A harder pull near the end of a stroke, and failures that drop somebody only at the end of a
    lowering.
    """
    for moved in (ctx.x.haul, ctx.x.lower):
        if isinstance(moved, Moved):
            yield from _harder(ctx, moved)
            yield from _no_end(ctx, moved)
    yield from _falls_later(ctx)


def _harder(ctx: Context, moved: Moved) -> Iterator[Finding]:
    motion = ctx.rig.haul if moved.direction > 0 else ctx.rig.lower
    line = 0 if motion is None else motion.line
    if moved.begun > 0:
        text = (
            f"the pull first swings the rig aside; the figures are for {ctx.length(moved.begun)} on the way, "
            f"when rope passes"
        )
        repair = "lead the pull in line with the haul, for instance through a change of direction"
        yield Finding("caution", "pulled-aside", text, line, repair, moved.load)
    if moved.later is not None and moved.later.hand > MORE * moved.hand_force.likely:
        text = (
            f"near the end of a stroke, {ctx.length(moved.later.at)} on the way, the hand needs "
            f"{ctx.force(moved.later.hand)} for {ctx.force(moved.hand_force.likely)}: strands turn apart"
        )
        repair = "reset sooner, or lead the strands more nearly alike"
        yield Finding("caution", "harder-later", text, line, repair, moved.load)


def _no_end(ctx: Context, moved: Moved) -> Iterator[Finding]:
    """The end of a way where the model found no answer: what fails there was then not asked."""
    if not moved.later_unsolved:
        return
    motion = ctx.rig.haul if moved.direction > 0 else ctx.rig.lower
    verb = "a stroke" if moved.direction > 0 else "the lowering"
    text = f"near the end of {verb} nothing is worked out: {moved.later_unsolved}"
    repair = "ask for less way, and check the rest as a rig of its own, drawn from there"
    line = 0 if motion is None else motion.line
    yield Finding("question", "end-not-solved", text, line, repair, moved.load, True)


def _falls_later(ctx: Context) -> Iterator[Finding]:
    people = {load.name for load in ctx.people}
    before = {(f.component.key, o.load): o.verdict for f in ctx.failures for o in f.after.outcomes}
    moved = ctx.x.lower
    if not isinstance(moved, Moved) or moved.later is None:
        return
    late = f"after {ctx.length(moved.later.at)} down"
    repair = "take slack out of the second line before the end, or keep height in hand there"
    for failure in ctx.failures_later:
        part = failure.component
        for o in failure.after.outcomes:
            if (
                o.load not in people
                or not failure.concerns(o.load)
                or o.verdict == "held"
                or before.get((part.key, o.load)) != "held"
            ):
                continue
            if o.verdict == UNKNOWN:
                text = (
                    f"{late}, if {part.label} fails, what becomes of {o.load} is not worked out: {o.reason}"
                )
                group = f"{late}, if any one of these fails, what becomes of {o.load} is not worked out"
                yield Finding(
                    "question", "held-not-known", text, part.line, NOT_SOLVED, part.label, True, group
                )
                continue
            becomes = o.verdict if o.drop is None else f"{o.verdict} {ctx.length(o.drop)}"
            text = f"{late}, if {part.label} fails, {o.load} {becomes}: {o.reason}"
            group = f"{late}, if any one of these fails, {o.load} {becomes}"
            struck = o.strikes and held_beneath(ctx, ctx.rig.loads[o.load], o)
            level: Level = "caution" if struck else "stop"
            yield Finding(level, "falls-later", text, part.line, repair, part.label, group=group)
