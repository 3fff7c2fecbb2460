"""What a load comes down on."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ropewright.rig import Place, Rig

__all__ = ["STANDS", "ground_below", "ground_for"]

BESIDE = 1.0
"""Distance sideways [m] within which a load comes down on a stand: this project's own planning figure."""


STANDS = 0.05
"""Way [m] down to the ground below which a load stands on it and does not fall."""


def ground_below(rig: Rig, height: float, over: NDArray[np.float64] | None = None) -> float | None:
    """The highest stand or ground [m] at or below ``height``, None where the file draws none.

    ``over`` (3,) [m]: stands further than ``BESIDE`` from straight below it don't count, if there is ground.
    What lies aside at the height itself is nothing to stand on, but for the nearest ground of all.
    """
    under = [p for p in rig.points.values() if p.kind in ("stand", "ground") and p.at[2] <= height + 1e-6]
    if over is not None:
        aside = {p.name: float(np.hypot(p.at[0] - over[0], p.at[1] - over[1])) for p in under}
        ground = [p for p in under if p.kind == "ground"]
        nearest = min(ground, key=lambda p: aside[p.name], default=None)
        under = [
            p
            for p in under
            if aside[p.name] <= BESIDE
            or p is nearest
            or (height - p.at[2] >= STANDS and (p.kind == "ground" or nearest is None))
        ]
    return max((p.at[2] for p in under), default=None)


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
