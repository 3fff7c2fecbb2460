"""How long each rope has to be: one rule for the check, the card and the question who can work a rig."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.rig import Contact, Rope

from .assemble import Assembly
from .examine import Examination
from .ground import ground_below
from .moved import Moved
from .spare import ROUNDING, Spare, spares
from .strokes import grown

__all__ = ["RopeNeed", "knots", "rope_needs"]

FOOT = 0.3048
BEHIND = 10 * FOOT
"""Rope [m] between what it is made fast to and a releasable anchor, where less is drawn: a planning figure of
this project, no source."""
LINE_KNOT = 3 * FOOT
"""Rope [m] for each knot of a line: a planning figure of this project, no source."""
LINE_TAIL = 5 * FOOT
"""Rope [m] left over at a line's free end: a planning figure of this project, no source."""
KNOT = 60.0
"""Rope in a knot with its loop and tail, in diameters: a planning figure of this project, no source."""


@dataclass(frozen=True, slots=True)
class RopeNeed:
    """What one rope must be long [m].

    ``runs``: of a line, one that ends in a hand or hangs free, the way from its last fixed point down to the
    ground or through the reeving to the hand; of any other, what is laid. ``paid``: out on the way.
    ``reserve``: spare behind a releasable anchor to lower somebody the whole height, or the policy's reserve.
    ``behind``: back to what the line is made fast to; ``knots`` and ``tail``: allowances. ``laid`` and
    ``grown``: what is laid as rigged, and how much longer that gets on the way. ``has``: its length, None
    where nobody said. ``ground``: whether the file draws the ground that a line has to reach.
    """

    rope: str
    runs: float
    paid: float
    reserve: float
    behind: float
    knots: float
    tail: float
    laid: float
    grown: float
    has: float | None
    is_line: bool
    releasable: bool
    ground: bool
    line: int

    @property
    def ends(self) -> float:
        """Rope [m] for anchor, knots and tail."""
        return self.behind + self.knots + self.tail

    @property
    def needed(self) -> float:
        """All of it [m]."""
        return self.runs + self.paid + self.reserve + self.ends

    def is_enough(self, length: float) -> bool:
        """Whether a rope of this length [m] does."""
        return length >= self.needed - ROUNDING


def rope_needs(x: Examination) -> tuple[RopeNeed, ...]:
    """What each rope must be long; spare that is laid behind a releasable anchor is its reserve."""
    found = spares(x.rig, x.assembly.figures.catalogue, x.assembly, x.policy)
    behind = {spare.rope: spare for spare in found}
    laid = dict.fromkeys(x.rig.ropes, 0.0)
    strands = x.assembly.system.strands
    for k in range(len(strands)):
        laid[x.assembly.strand_ends(k)[0].rope] += float(strands.laid[k])
    more = dict.fromkeys(x.rig.ropes, 0.0)
    for moved in (x.haul, x.lower):
        if isinstance(moved, Moved):
            for name, out in grown(x, moved).items():
                more[name] = max(more[name], out)
    return tuple(
        (_line if rope.run and rope.run[-1].verb in ("hand", "tail") else _tied)(
            x, rope, behind.get(rope.name), laid[rope.name], more[rope.name]
        )
        for rope in x.rig.ropes.values()
    )


def knots(x: Examination, rope: Rope) -> float:
    """Rope [m] in the knots of a rope."""
    thick = x.assembly.figures.likely(rope.name, rope.type, "diameter", 0.011)
    return KNOT * thick * _ties(rope)


def _ties(rope: Rope) -> int:
    return sum(c.verb == "tie" for c in rope.run)


def _line(x: Examination, rope: Rope, release: Spare | None, laid: float, more: float) -> RopeNeed:
    """A rope that ends in a hand or hangs free. Where it takes more as the file lays it and moves it, that
    is asked.
    """
    begin = 0 if release is None else release.index
    behind = _drawn(x.assembly, rope.run[: begin + 1], slack=release is None)
    if release is not None:
        behind = max(behind, BEHIND)
    runs, ground = _way(x, rope.run[begin:])
    asked = x.policy.number("rope-reserve") or 0.0
    reserve = asked if release is None else max(release.needed, release.slack)
    lies = laid if release is None else laid - release.slack
    ties = LINE_KNOT * _ties(rope)
    paid = _paid(x, rope)
    paid += max(0.0, lies + more - runs - behind - paid)
    return RopeNeed(
        rope.name, runs, paid, reserve, behind, ties, LINE_TAIL, laid, more,
        rope.length, True, release is not None, ground, rope.line,
    )  # fmt: skip


def _tied(x: Examination, rope: Rope, release: Spare | None, laid: float, more: float) -> RopeNeed:
    """A rope made fast at both ends; a cord that touches no point of the file keeps no reserve."""
    slack = 0.0 if release is None else release.slack
    asked = x.policy.number("rope-reserve") or 0.0
    kept = asked if any(c.target in x.rig.points for c in rope.run) else 0.0
    return RopeNeed(
        rope.name, laid - slack, more, max(kept, slack), 0.0, knots(x, rope), 0.0, laid, more,
        rope.length, False, release is not None, True, rope.line,
    )  # fmt: skip


def _at(assembly: Assembly, part: str) -> NDArray[np.float64]:
    return np.asarray(assembly.system.position[assembly.node[part]], dtype=np.float64)


def _drawn(assembly: Assembly, run: Iterable[Contact], *, slack: bool = True) -> float:
    """Length [m] along contacts as they are drawn, with the ``slack`` that is laid in unless that is spare
    and counted as such.
    """
    places = [(_at(assembly, c.target), c.slack if slack else 0.0) for c in run if c.target]
    return sum(float(np.linalg.norm(b - a)) + more for (a, _), (b, more) in pairwise(places))


def _way(x: Examination, run: tuple[Contact, ...]) -> tuple[float, bool]:
    """From the first contact of ``run`` to the ground or to the hand [m], and whether the ground is known."""
    heights = [float(_at(x.assembly, c.target)[2]) for c in run if c.target]
    last = run[-1]
    if last.verb == "hand" and last.target in x.rig.crews:
        return _drawn(x.assembly, run), True
    ground = ground_below(x.rig, min(heights))
    known = ground is not None or x.rig.lower is not None
    if ground is None:  # as far as the file lets the load down
        ground = heights[-1] - (x.rig.lower.distance if x.rig.lower else 0.0)
    if all(a >= b for a, b in pairwise(heights)) and len(set(heights)) > 1:
        return heights[0] - ground, known  # one line that hangs plumb; how slack it is laid does not count
    return _drawn(x.assembly, run) + heights[-1] - ground, known


def _paid(x: Examination, rope: Rope) -> float:
    """Rope [m] that a crew pays out on the way down: the load's way, or what this rope's own run grows by,
    whatever another's ratio is. One that hangs to the ground has it already.
    """
    last = rope.run[-1]
    if x.rig.lower is None or last.verb != "hand" or last.target not in x.rig.crews:
        return 0.0
    out = grown(x, x.lower).get(rope.name, 0.0) if isinstance(x.lower, Moved) else 0.0
    return max(x.rig.lower.distance, out)
