"""Rows of the pre-load check for rope that nothing pulls on yet: loose ends, and spare behind a release."""

from __future__ import annotations

from ropewright.judgement.ground import ground_below
from ropewright.judgement.lengths import knots, rope_needs
from ropewright.judgement.rules import Context
from ropewright.judgement.spare import ROUNDING, Spare, laid_to
from ropewright.rig import Rope

from .model import CheckRow

__all__ = ["loose_end", "spare_row"]

PAID = 0.05
"""Rope [m] paid out on the way below which it is not told."""
KNOT = "stopper knot"


def spare_row(ctx: Context, spare: Spare) -> CheckRow:
    """How much rope has to wait behind a releasable anchor, and what the file lays there."""
    laid = "LENGTH NOT KNOWN" if spare.laid is None else f"the file has {ctx.length(spare.laid)}"
    how = f"{ctx.length(spare.needed)} needed to lower {spare.load}; {laid}"
    return CheckRow(f"spare behind {spare.device}", how, ("laid, clear",), not spare.enough)


def loose_end(ctx: Context, rope: Rope) -> CheckRow:
    """What is left of a rope past its last contact or behind its hand, and whether it reaches the ground."""
    last = max(k for k, c in enumerate(rope.run) if c.target)
    name = rope.run[last].target or ""
    behind = rope.run[last].verb == "hand"
    what = f"end of {rope.name} behind {name}" if behind else f"loose end of {rope.name}"
    if rope.length is None:
        return CheckRow(what, "LENGTH NOT KNOWN: measure it", (KNOT,), True)
    left = rope.length - laid_to(ctx.x.assembly, rope.name, last) - knots(ctx.x, rope)
    if left < 0.0:
        return CheckRow(what, "TOO SHORT as rigged", (KNOT,), True)
    height = float(ctx.x.assembly.system.position[ctx.x.assembly.node[name], 2])
    ground = ground_below(ctx.rig, height)
    said = ctx.length(left) if behind else f"{ctx.length(left)} past {name}"
    if behind and name in ctx.rig.crews:
        paid = next((need.grown for need in rope_needs(ctx.x) if need.rope == rope.name), 0.0)
        out = f"; {ctx.length(paid)} go out on the way" if paid > PAID else ""
        return CheckRow(what, f"{said}{out}", (KNOT,), left < paid)
    if ground is None:
        return CheckRow(what, f"{said}; NO GROUND DRAWN: look where it ends", (KNOT,), True)
    short = height - ground - left
    if short > ROUNDING:
        return CheckRow(what, f"{said}: ENDS {ctx.length(short)} ABOVE THE GROUND", (KNOT,), True)
    return CheckRow(what, f"{said}, {ctx.length(height - ground)} to the ground: reaches it", (KNOT,))
