"""Gear rated in kilograms against what hangs on it."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.loads import greatest_on
from ropewright.judgement.rules.base import Context, Finding
from ropewright.mechanics import GRAVITY

__all__ = ["find"]

SAME = 1e-3
"""Share by which a mass may exceed a rating through rounding alone."""


def find(ctx: Context) -> Iterator[Finding]:
    """Bodies and devices over their user mass, and those whose user mass is not known."""
    yield from _bodies(ctx)
    for item in ctx.rig.gear.values():
        if "user-mass" in ctx.catalogue[item.type].figures or ctx.rig.assume.get(item.name, {}).get(
            "user-mass"
        ):
            yield from _device(ctx, item.name, item.type, item.line)


def _bodies(ctx: Context) -> Iterator[Finding]:
    for load in ctx.people:
        if load.wears is None:
            text = f"the file does not say what {load.name} is carried by, so nothing of it is checked"
            repair = "name it with `wears:`, as in harness or litter-basket"
            yield Finding("question", "body-not-named", text, load.line, repair, load.name, True)
            continue
        what = f"the {load.wears} of {load.name}"
        limit = ctx.x.assembly.figures.get(load.name, load.wears, "user-mass").value
        if limit is None:
            yield _unknown(ctx, what, load.wears, load.mass.likely, load.line)
        else:
            yield from _over(ctx, what, limit.low, load.mass.likely, load.mass.high, load.line)


def _device(ctx: Context, name: str, kind: str, line: int) -> Iterator[Finding]:
    hangs = _hanging(ctx, name)
    if hangs < 1.0:
        return
    limit = ctx.x.assembly.figures.get(name, kind, "user-mass").value
    if limit is not None:
        heaviest = max((load.mass.high / load.mass.likely for load in ctx.loads_with(name)), default=1.0)
        yield from _over(ctx, name, limit.low, hangs, hangs * heaviest, line)
    elif ctx.people:
        yield _unknown(ctx, name, kind, hangs, line)


def _hanging(ctx: Context, name: str) -> float:
    """The kilograms that hang on a device: its greatest pull at rest, now or after a failure, over g, and
    never more than all loads together that hang together with it.
    """
    greatest = max(
        (float(greatest_on(c.assembly, c.found, name)[0]) for c in (*ctx.still, *ctx.failed)), default=0.0
    )
    return min(greatest / GRAVITY, sum(load.mass.likely for load in ctx.loads_with(name)))


def _over(ctx: Context, what: str, limit: float, likely: float, high: float, line: int) -> Iterator[Finding]:
    repair = f"a limit of the gear, not of the person: use gear rated for {ctx.mass(high)}, or change roles"
    if likely > limit * (1 + SAME):
        text = f"{ctx.mass(likely)} hang on {what}, which is rated for {ctx.mass(limit)}"
        yield Finding("stop", "over-user-mass", text, line, repair, what)
    elif high > limit * (1 + SAME):
        text = f"up to {ctx.mass(high)} may hang on {what}, which is rated for {ctx.mass(limit)}"
        yield Finding("caution", "over-user-mass", text, line, repair, what)


def _unknown(ctx: Context, what: str, kind: str, mass: float, line: int) -> Finding:
    text = f"nobody has said how many kilograms {what} is rated for; {ctx.mass(mass)} hang on it"
    repair = f"read its label, and state it under `assume: {kind}: user-mass`"
    return Finding("question", "user-mass-unknown", text, line, repair, what, True)
