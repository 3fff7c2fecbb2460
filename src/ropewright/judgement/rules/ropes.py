"""Whether each rope is long enough, and enough of it lies where it is needed."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ropewright.judgement.lengths import RopeNeed, rope_needs
from ropewright.judgement.rules.base import Context, Finding, Level
from ropewright.judgement.spare import ROUNDING, Spare
from ropewright.quantity import first_system, in_units

__all__ = ["find"]


def find(ctx: Context) -> Iterator[Finding]:
    """Ropes that are too short, ropes of unknown length, and too little spare behind a releasable anchor."""
    for spare in ctx.spares:
        if spare.laid is not None and not spare.enough:
            yield _spare(ctx, spare, spare.laid)
    for need in rope_needs(ctx.x):
        sum_ = _sum(ctx, need)
        if need.has is None:
            lowers = ctx.rig.lower is not None
            text = f"nobody has said how long {need.rope} is; it needs {ctx.length(need.needed)} ({sum_})"
            repair = "measure it, and give it `length:`"
            yield Finding("question", "rope-length-unknown", text, need.line, repair, need.rope, lowers)
        elif not need.is_enough(need.has):
            text = f"{need.rope} is {ctx.length(need.has)} long and needs {ctx.length(need.needed)} ({sum_})"
            repair = f"use a rope of at least {_at_least(ctx, need.needed)}"
            yield Finding("stop", "rope-too-short", text, need.line, repair, need.rope)


def _at_least(ctx: Context, metres: float) -> str:
    """A length to buy, rounded up: a rope as long as this says must not be refused."""
    up = math.ceil(10 * (metres - ROUNDING)) / 10
    feet = math.ceil((metres - ROUNDING) / 0.3048)
    return in_units(f"{up:g} m", f"{feet} ft", ctx.units)


def _sum(ctx: Context, need: RopeNeed) -> str:
    """What the length that a rope needs is made of."""
    parts = [f"{ctx.length(need.runs)} {'as it hangs and runs' if need.is_line else 'as rigged'}"]
    if need.paid > 1e-3:
        parts.append(f"{ctx.length(need.paid)} more on the way")
    if need.reserve > 0:
        parts.append(f"{ctx.length(need.reserve)} of reserve")
    if need.ends > 0:
        parts.append(f"{ctx.length(need.ends)} for {'anchor, knots and tail' if need.is_line else 'knots'}")
    if not need.ground:
        parts.append("no ground is drawn below it")
    return ", ".join(parts)


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
    unit, size = ("ft", 0.3048) if first_system(ctx.units) == "us" else ("m", 1.0)
    slack = math.ceil(100 * (spare.slack + spare.needed - laid) / size - 1e-6) / 100
    repair = f"lay {ctx.length(spare.needed - laid)} more of it there, and say so: `slack {slack:g} {unit}`"
    policy = ctx.policy.number("rope-reserve") is not None and ctx.rig.loads[spare.load] in ctx.people
    level: Level = "stop" if policy else "caution"
    return Finding(level, "spare-too-short", text, spare.line, repair, spare.device)
