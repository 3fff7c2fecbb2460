"""Whether each rope is long enough."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.rules.base import Context, Finding
from ropewright.judgement.strokes import rope_needs

__all__ = ["find"]


def find(ctx: Context) -> Iterator[Finding]:
    """Ropes that are too short, and ropes of unknown length."""
    for need in rope_needs(ctx.x):
        sum_ = f"{ctx.length(need.laid)} as rigged"
        if need.paid > 1e-3:
            sum_ += f", {ctx.length(need.paid)} more on the way"
        if need.reserve > 0:
            sum_ += f", {ctx.length(need.reserve)} of reserve"
        if need.ends > 0:
            sum_ += f", {ctx.length(need.ends)} for knots and what is kept behind a hand"
        if need.has is None:
            lowers = ctx.rig.lower is not None
            text = f"nobody has said how long {need.rope} is; it needs {ctx.length(need.needed)} ({sum_})"
            repair = "measure it, and give it `length:`"
            yield Finding("question", "rope-length-unknown", text, need.line, repair, need.rope, lowers)
        elif need.has < need.needed - 1e-6:
            text = f"{need.rope} is {ctx.length(need.has)} long and needs {ctx.length(need.needed)} ({sum_})"
            repair = f"use a rope of at least {ctx.length(need.needed)}"
            yield Finding("stop", "rope-too-short", text, need.line, repair, need.rope)
