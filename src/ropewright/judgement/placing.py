"""Where the points of an assembled rig start: as drawn, as a state has them, or between their neighbours."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ropewright.rig import Crew, Load, Place, Rig

from .state import State

UNKNOWN = (math.nan, math.nan, math.nan)


def positions(
    rig: Rig, node: Mapping[str, int], count: int, parent: Mapping[str, str], state: State | None
) -> NDArray[np.float64]:
    """Where every point starts (count, 3) [m]; ``node``: each part's point, ``parent``: what it hangs on."""
    drawn: dict[str, tuple[float, float, float]] = {}
    placed: list[Place | Load | Crew] = [
        *rig.points.values(),
        *rig.loads.values(),
        *rig.crews.values(),
    ]
    for thing in placed:
        drawn[thing.name] = thing.at
    for item in rig.gear.values():
        if item.at is not None and not isinstance(item.at, str):
            drawn[item.name] = item.at
    rows: list[Sequence[float] | NDArray[np.float64] | None] = [None] * count
    known = {} if state is None else state.at
    for part, n in node.items():
        if part in known:
            rows[n] = known[part]
        elif part in drawn and rows[n] is None:
            rows[n] = drawn[part]
    for item in rig.gear.values():  # cut from its place: it starts where it hung
        n = node[item.name]
        if rows[n] is None and isinstance(item.at, str) and item.name not in parent:
            rows[n] = _hung_at(rig, item.at, drawn)
    out = np.array([UNKNOWN if row is None else row for row in rows], dtype=np.float64).reshape(count, 3)
    return _between(rig, node, out) if np.isnan(out).any() else out


def _hung_at(
    rig: Rig, part: str, drawn: Mapping[str, tuple[float, float, float]]
) -> tuple[float, float, float]:
    for _ in range(len(rig.gear) + 1):
        if part in drawn:
            return drawn[part]
        at = rig.gear[part].at
        if not isinstance(at, str):
            break
        part = at
    return UNKNOWN


def _between(rig: Rig, node: Mapping[str, int], out: NDArray[np.float64]) -> NDArray[np.float64]:
    """Floating gear without coordinates starts half way between its neighbours along the rope."""
    for _ in range(len(out)):
        missing = np.isnan(out[:, 0])
        if not missing.any():
            break
        for rope in rig.ropes.values():
            row = [node[c.target] for c in rope.run if c.target]
            for a, b, c in zip(row, row[1:], row[2:], strict=False):
                if missing[b] and np.isnan(out[b, 0]) and not (missing[a] or missing[c]):
                    out[b] = (out[a] + out[c]) / 2
            ends = [(row[0], row[1])] if len(row) > 1 else []
            for a, b in ends:
                if np.isnan(out[a, 0]) and not np.isnan(out[b, 0]) and len(row) == 2:
                    out[a] = out[b]
        if np.array_equal(missing, np.isnan(out[:, 0])):
            known = out[~missing]
            out[missing] = known.mean(axis=0) if len(known) else 0.0
    return out
