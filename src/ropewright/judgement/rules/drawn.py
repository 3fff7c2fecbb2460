"""Whether loads hang where they are drawn: all forces are for where they hang."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ropewright.judgement.letting_go import ground_below
from ropewright.judgement.rules.base import Context, Finding
from ropewright.rig import Load

__all__ = ["find"]

ASIDE = 0.5
"""Distance [m] from the drawing within which a load counts as drawn where it hangs."""
STRETCH = 0.05
"""Share of the longest strand by which a load may sink as ropes take it up, without being said to fall."""


def find(ctx: Context) -> Iterator[Finding]:
    """Loads that settle, fall or swing away from where the file puts them."""
    if not ctx.x.stands:
        return
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
    stretch = STRETCH * float(ctx.x.assembly.system.strands.laid.max(initial=0.0))
    stop = strikes or down > most + stretch
    text += ": it would fall or swing there first" if stop else "; all figures are for where it hangs"
    repair = "draw it where it hangs, or lay the ropes as long as they are drawn"
    return Finding("stop" if stop else "caution", "hangs-elsewhere", text, load.line, repair, load.name)
