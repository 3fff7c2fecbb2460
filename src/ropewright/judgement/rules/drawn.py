"""Whether loads hang where they are drawn: all forces are for where they hang."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from ropewright.judgement.ground import ground_below
from ropewright.judgement.moved import Moved
from ropewright.judgement.rules.base import Context, Finding
from ropewright.mechanics import held, settle
from ropewright.rig import Load

__all__ = ["find"]

ASIDE = 0.5
"""Distance [m] from the drawing within which a load counts as drawn where it hangs."""
STIFFER = 1e3
"""How much stiffer ropes are made to tell what is stretch and what is a fall."""


def find(ctx: Context) -> Iterator[Finding]:
    """Loads that settle, fall or swing away from where the file puts them."""
    if not ctx.x.stands or any(isinstance(m, Moved) and m.begun > 0 for m in (ctx.x.haul, ctx.x.lower)):
        return  # a rig whose pull swings it aside is told of by that
    for load in ctx.rig.loads.values():
        place = ctx.here[ctx.x.assembly.node[load.name]]
        drawn = np.array(load.at)
        if float(np.linalg.norm(place - drawn)) > ASIDE:
            yield _away(ctx, load, float(drawn[2] - place[2]), float(np.hypot(*(place - drawn)[:2])))


def _away(ctx: Context, load: Load, down: float, aside: float) -> Finding:
    most = ctx.policy.number("most-drop") or 1.0
    ground = ground_below(ctx.rig, load.at[2])
    strikes = ground is not None and load.at[2] - down < ground
    ways = [f"{ctx.length(abs(down))} {'lower' if down > 0 else 'higher'}"] if abs(down) > 0.05 else []
    ways += [f"{ctx.length(aside)} aside"] if aside > 0.05 else []
    text = f"{load.name} does not hang where it is drawn but {' and '.join(ways)}"
    if strikes:
        text += ", below the ground"
    stop = strikes or (down > most and down - _stretch(ctx, load) > most)
    text += ": it would fall or swing there first" if stop else "; all figures are for where it hangs"
    repair = "draw it where it hangs, or lay the ropes as long as they are drawn"
    return Finding("stop" if stop else "caution", "hangs-elsewhere", text, load.line, repair, load.name)


def _stretch(ctx: Context, load: Load) -> float:
    """How much [m] of the way down is stretch: the rest is there with ropes that hardly stretch, which the
    examination has not asked.
    """
    assembly = ctx.x.assembly
    system = assembly.system
    firm = replace(system, ropes=tuple(replace(r, stiffness=STIFFER * r.stiffness) for r in system.ropes))
    keeps = held(firm)
    rest = settle(firm, movable=np.flatnonzero(keeps & ~firm.fixed))
    n = assembly.node[load.name]
    return max(0.0, float(rest.position[n, 2] - ctx.here[n, 2])) if rest.settled else 0.0
