"""Grabs and devices loaded the wrong way round, and what follows from it."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.moved import CannotMove
from ropewright.judgement.rules.base import Context, Finding
from ropewright.judgement.rules.holding import becomes
from ropewright.rig import Contact

__all__ = ["find"]


def find(ctx: Context) -> Iterator[Finding]:
    """Every contact that the file itself says is reversed, where the thing has a right way round."""
    for rope in ctx.rig.ropes.values():
        for index, contact in enumerate(rope.run):
            item = ctx.rig.gear.get(contact.target or "")
            if not contact.reversed or item is None:
                continue
            if ctx.catalogue[item.type].family not in ("grab", "device"):
                continue
            text = f"{item.name} is loaded the wrong way round on {rope.name}"
            consequence = _consequence(ctx)
            if consequence:
                text += f": {consequence}"
            before = _neighbour(rope.run[:index][::-1])
            after = _neighbour(rope.run[index + 1 :])
            repair = f"turn {item.name} round: it has to stop rope that pulls towards {before}"
            if after:
                repair += f" and pass rope towards {after}"
            yield Finding("stop", "loaded-backwards", text, contact.line, repair, item.name)


def _neighbour(run: tuple[Contact, ...]) -> str:
    return next((c.target for c in run if c.target), "")


def _consequence(ctx: Context) -> str:
    """What the model says of the rig with it: a motion that can't be, or who falls."""
    said = [moved.text for moved in (ctx.x.haul, ctx.x.lower) if isinstance(moved, CannotMove)]
    if ctx.x.hands_off is not None:
        said += [
            f"with every hand off {o.load} {becomes(ctx, o)}"
            for o in ctx.x.hands_off.outcomes
            if o.verdict != "held"
        ]
    return "; ".join(dict.fromkeys(said))
