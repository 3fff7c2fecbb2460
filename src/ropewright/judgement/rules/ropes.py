"""Whether each rope is long enough, and enough of it lies where it is needed."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ropewright.judgement.rules.base import Context, Finding, Level
from ropewright.judgement.spare import Spare
from ropewright.judgement.strokes import rope_needs

__all__ = ["find"]


def find(ctx: Context) -> Iterator[Finding]:
    """Ropes that are too short, ropes of unknown length, and too little spare behind a releasable anchor."""
    for spare in ctx.spares:
        if spare.laid is not None and not spare.enough:
            yield _spare(ctx, spare, spare.laid)
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


def _spare(ctx: Context, spare: Spare, laid: float) -> Finding:
    """Too little rope to let a stuck load down: a stop where the policy asks for a reserve."""
    asks = spare.needed > spare.height
    why = "the policy's reserve is" if asks else f"to lower {spare.load} to the ground from there takes"
    text = (
        f"{ctx.length(laid)} of {spare.rope} is laid behind {spare.device} to be let out; {why} "
        f"{ctx.length(spare.needed)}"
    )
    if asks:
        text += f", and {spare.load} hangs up to {ctx.length(spare.height)} over the ground"
    unit, size = ("ft", 0.3048) if ctx.units == "us" else ("m", 1.0)
    slack = math.ceil(100 * (spare.slack + spare.needed - laid) / size - 1e-6) / 100
    repair = f"lay {ctx.length(spare.needed - laid)} more of it there, and say so: `slack {slack:g} {unit}`"
    policy = ctx.policy.number("rope-reserve") is not None and ctx.rig.loads[spare.load] in ctx.people
    level: Level = "stop" if policy else "caution"
    return Finding(level, "spare-too-short", text, spare.line, repair, spare.device)
