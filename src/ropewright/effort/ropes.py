"""How long each line has to be: the way that it runs, spare to lower somebody, anchor, knots, tail."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.effort.profiles import profile
from ropewright.effort.pulls import Prepared
from ropewright.judgement.letting_go import ground_below
from ropewright.judgement.spare import ROUNDING, Spare, spares
from ropewright.rig import Contact, Rope

__all__ = ["LineNeed", "line_needs"]


@dataclass(frozen=True, slots=True)
class LineNeed:
    """What one line needs [m].

    ``runs``: from its last fixed point down to the ground, or through the reeving to the hand; ``behind``:
    back to what it is made fast to; ``paid``: paid out on the way; ``spare``: behind a releasable anchor to
    lower somebody the whole height, or the policy's reserve; ``knots`` and ``tail`` allowances. ``has``: its
    length, None where nobody said. ``ground``: whether the file draws the ground that it has to reach.
    """

    rope: str
    runs: float
    behind: float
    paid: float
    spare: float
    knots: float
    tail: float
    has: float | None
    releasable: bool
    ground: bool
    line: int

    @property
    def needed(self) -> float:
        """All of it [m]."""
        return self.runs + self.behind + self.paid + self.spare + self.knots + self.tail

    def is_enough(self, length: float) -> bool:
        """Whether a rope of this length [m] does."""
        return length >= self.needed - ROUNDING


def line_needs(prepared: Prepared) -> tuple[LineNeed, ...]:
    """Every rope that ends in a hand or hangs free; legs and bridles tied at both ends are left out."""
    found = spares(prepared.rig, prepared.catalogue, prepared.assembly, prepared.policy)
    behind = {spare.rope: spare for spare in found}
    return tuple(
        _need(prepared, rope, behind.get(rope.name))
        for rope in prepared.rig.ropes.values()
        if rope.run and rope.run[-1].verb in ("hand", "tail")
    )


def _need(prepared: Prepared, rope: Rope, release: Spare | None) -> LineNeed:
    begin = 0 if release is None else release.index
    behind = _drawn(prepared, rope.run[: begin + 1], slack=release is None)
    if release is not None:
        behind = max(behind, profile("rope-behind-anchor").likely)
    runs, ground = _run(prepared, rope.run[begin:])
    spare = (prepared.policy.number("rope-reserve") or 0.0) if release is None else release.needed
    knots = sum(c.verb == "tie" for c in rope.run) * profile("rope-in-knot").likely
    return LineNeed(
        rope.name,
        runs,
        behind,
        _paid(prepared, rope),
        spare,
        knots,
        profile("rope-tail").likely,
        rope.length,
        release is not None,
        ground,
        rope.line,
    )


def _at(prepared: Prepared, part: str) -> NDArray[np.float64]:
    position: NDArray[np.float64] = prepared.assembly.system.position
    return np.asarray(position[prepared.assembly.node[part]])


def _is_fixed(prepared: Prepared, part: str) -> bool:
    return bool(prepared.assembly.system.fixed[prepared.assembly.node[part]])


def _drawn(prepared: Prepared, run: Iterable[Contact], *, slack: bool = True) -> float:
    """Length [m] along contacts as they are drawn, with the ``slack`` that is laid in unless that is spare
    and counted as such.
    """
    places = [(_at(prepared, c.target), c.slack if slack else 0.0) for c in run if c.target]
    return sum(float(np.linalg.norm(b - a)) + more for (a, _), (b, more) in pairwise(places))


def _run(prepared: Prepared, run: tuple[Contact, ...]) -> tuple[float, bool]:
    """From the first contact of ``run`` to the ground or to the hand [m], and whether the ground is known."""
    named = [c for c in run if c.target]
    heights = [float(_at(prepared, c.target)[2]) for c in named if c.target]
    last = run[-1]
    if last.verb == "hand" and last.target in prepared.rig.crews:
        return _drawn(prepared, run), True
    ground = ground_below(prepared.rig, min(heights))
    if ground is None:  # as far as the file lets the load down
        down = prepared.rig.lower.distance if prepared.rig.lower else 0.0
        ground = heights[-1] - down
        known = prepared.rig.lower is not None
    else:
        known = True
    if all(a >= b for a, b in pairwise(heights)) and len(set(heights)) > 1:
        return heights[0] - ground, known  # one line that hangs plumb; how slack it is laid does not count
    return _drawn(prepared, run) + heights[-1] - ground, known


def _paid(prepared: Prepared, rope: Rope) -> float:
    """Rope [m] that a crew pays out on the way down; one that hangs to the ground has it already."""
    last = rope.run[-1]
    if prepared.rig.lower is None or last.verb != "hand" or last.target not in prepared.rig.crews:
        return 0.0
    lowering = next((m for m in prepared.motions if m.direction < 0), None)
    per_metre = lowering.rope_per_metre if lowering else 1.0
    return prepared.rig.lower.distance * max(1.0, per_metre)
