"""What a load comes down on."""

from __future__ import annotations

import math

from ropewright.rig import Place, Rig

__all__ = ["ground_for"]

BESIDE = 1.0
"""Distance sideways [m] within which a load comes down on a stand: this project's own planning figure."""


def ground_for(rig: Rig, load: str) -> Place | None:
    """What a load comes down on: the highest ground or stand right under it, else the ground that is nearest
    sideways; None where the file draws none.
    """
    at = rig.loads[load].at
    below = [p for p in rig.points.values() if p.at[2] <= at[2] + 1e-6]
    ground = [p for p in below if p.kind == "ground"]
    under = [p for p in below if p.kind in ("ground", "stand") and _aside(p.at, at) <= BESIDE]
    if ground and not any(p.kind == "ground" for p in under):
        under.append(min(ground, key=lambda p: _aside(p.at, at)))
    return max(under, key=lambda p: p.at[2], default=None)


def _aside(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    return math.hypot(one[0] - other[0], one[1] - other[1])
