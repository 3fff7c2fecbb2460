"""Newton's method on the energy of a rig that is near its rest, the answer checked to be the least.

The energy is convex (docs/theory/settling.md), so a state is the rest if forces balance there, no rope
pushes, and every one-way contact either passes rope its way, both sides pulling alike, or passes none, with
no more pull on the side that would draw it than sliding takes. Newton's method from a state near by finds
such a state in a few steps; where it does not, only the trial is lost, and the programme is asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .model import NEAR, SLACK, Array, Ints, System, chord
from .segments import Cut
from .stiffness import joins_of, straightening

NUDGE = 1e-8
"""Stiffness [1/m], as a share of the weight, that keeps slack weightless things near where they were."""
CLOSE = 1e-10
"""Force left over, as a share of the weight, at which Newton's method is done."""
FAR = 0.25
"""Force left over at the start, as a share of the weight, from which a state does not count as near."""
STEPS, ROUNDS = 10, 4
ROUNDING = 1e-10
"""Rope [m] that counts as none."""
LEAP = 0.3
"""Step of a point [m] beyond which the state was not near after all."""

Gate = tuple[int, int, int, int]
"""Segment before, segment after, +1 if rope may pass forward else −1, flat contact."""


@dataclass(frozen=True, slots=True)
class Pulled:
    """The forces of one state: each segment's tension ``pull`` (K,) [N], and the largest force left over
    ``residual`` [N]; the rest is what the next step is made of.
    """

    pull: Array
    residual: float
    gradient: Array
    rows: Array
    unit: Array
    length: Array
    base: Array


class Energy:
    """What a system's energy is made of, some of its points moving, for one choice of the segments that share
    a tension because rope passes between them.

    ``group`` names each segment's (K,) group by its first segment, ``above`` (K,) [N] is how much more it
    pulls than that one; ``tight`` are the groups that may pull.
    """

    def __init__(
        self,
        system: System,
        cut_: Cut,
        moving: Ints,
        scale: float,
        group: Sequence[int],
        above: Array,
        tight: Sequence[int],
    ) -> None:
        self.system, self.cut, self.moving, self.scale, self.above = system, cut_, moving, scale, above
        count = len(tight)
        place = np.full(len(cut_.segments), -1, dtype=np.int64)
        place[list(tight)] = np.arange(count)
        member = place[list(group)]
        self.among = np.flatnonzero(member >= 0)
        self.of = member[self.among]
        self.least = np.zeros(count)  # of each group's first segment: no segment of it pushes
        if above.any():
            np.minimum.at(self.least, self.of, above[self.among])
            self.least *= -1.0
        laid = cut_.laid[self.among] + (above * cut_.compliance)[self.among]
        self.give = np.bincount(self.of, cut_.compliance[self.among], count)
        self.laid = np.bincount(self.of, laid, count)
        self.carries = (member[cut_.member] == np.arange(count)[:, None]).astype(np.float64)  # (tight, S)
        self.joins = joins_of(system, moving)
        self.weight = system.weight[moving]

    def at(self, x: Array) -> Pulled | None:
        """The forces with the points at ``x`` (n, 3); None where two ends of a strand have met."""
        s = self.system.strands
        unit, length = chord(x, s)
        if length.min(initial=np.inf, where=s.real) < 1e-3:
            return None
        base = (self.carries @ length - self.laid) / self.give - self.least
        pull = np.zeros(len(self.cut.segments))
        pull[self.among] = (np.maximum(0.0, base) + self.least)[self.of] + self.above[self.among]
        rows = (self.joins[:, :, None] * unit[:, None, :]).reshape(len(unit), -1)
        gradient = pull[self.cut.member] @ rows
        gradient[2::3] += self.weight
        return Pulled(pull, float(np.abs(gradient).max()), gradient, rows, unit, length, base)

    def step(self, now: Pulled, pulling: bool) -> Array:
        """Newton's step (m, 3) [m]; ``pulling``: from the groups alone that pull now, not from all."""
        summed = self.carries @ now.rows
        stiff = (now.base > 0) / self.give if pulling else 1.0 / self.give
        curvature = summed.T @ (summed * stiff[:, None])
        curvature[np.diag_indices_from(curvature)] += NUDGE * self.scale
        firm = np.where(
            self.system.strands.real, now.pull[self.cut.member] / np.maximum(now.length, NEAR), 0.0
        )
        curvature += straightening(self.joins, now.unit, firm)
        return np.asarray(-np.linalg.solve(curvature, now.gradient).reshape(-1, 3))


def grouped(
    gates: Sequence[Gate], passes: Sequence[bool], system: System, count: int
) -> tuple[list[int], Array]:
    """The segments that share one tension since rope passes between them, each named by its first, and how
    much more (K,) [N] each has than that: at grabs that take a pull to slide.
    """
    group, above = list(range(count)), np.zeros(count)
    for (before, after, sense, contact), through in zip(gates, passes, strict=True):
        if through:
            above[after] = above[before] + sense * system.contacts[contact].slides
            old, new = group[after], group[before]
            group = [new if g == old else g for g in group]
    return group, above


def near_rest(
    system: System, cut_: Cut, moving: Ints, segments: Sequence[int], gates: Sequence[Gate], scale: float
) -> tuple[Array, Array, Array, float] | None:
    """Positions (n, 3), segments' tensions (K,) [N], rope passed (C,) [m] and force left over [N] at rest,
    if the system is near it; ``segments`` are those that can pull. None where Newton's method does not get
    there.
    """
    passes = [False] * len(gates)
    x = system.position
    for turn in range(ROUNDS):
        group, above = grouped(gates, passes, system, len(cut_.segments))
        energy = Energy(system, cut_, moving, scale, group, above, sorted({group[k] for k in segments}))
        found = _descended(energy, x, FAR if turn == 0 else np.inf)
        if found is None:
            return None
        x, now = found
        flow = _passed(energy, now, gates, passes)
        if flow is None:
            return None
        asks = _asking(system, now, gates, passes, flow, scale)
        if not asks:
            passed = np.zeros(len(system.contacts))
            for (*_, contact), rope in zip(gates, flow, strict=True):
                passed[contact] = max(0.0, rope)
            pull = now.pull
            pull[pull < SLACK * scale] = 0.0
            return x, pull, passed, now.residual
        for k in asks:
            passes[k] = not passes[k]
    return None


def _descended(energy: Energy, x: Array, far: float) -> tuple[Array, Pulled] | None:
    """The rest of one choice of groups, from ``x`` on."""
    now = energy.at(x)
    if now is None or now.residual > far * energy.scale:
        return None
    for _ in range(STEPS):
        if now.residual < CLOSE * energy.scale:
            return x, now
        step = energy.step(now, pulling=True)
        if not np.abs(step).max() < LEAP:
            return None
        x = x.copy()
        x[energy.moving] += step
        now = energy.at(x)
        if now is None:
            return None
    return None


def _passed(energy: Energy, now: Pulled, gates: Sequence[Gate], passes: Sequence[bool]) -> list[float] | None:
    """Rope [m] through every gate, the way it lets rope, as much as there is where that is left open; None
    where no such flows leave every segment the rope that it needs.
    """
    cut_ = energy.cut
    length = np.bincount(cut_.member, now.length, len(cut_.segments))
    needs = (length - now.pull * cut_.compliance - cut_.laid).tolist()  # rope that has to come in
    out = []
    for k, (before, after, sense, _) in enumerate(gates):
        if not passes[k]:
            out.append(0.0)
            continue
        led_on = k > 0 and passes[k - 1] and gates[k - 1][1] == before
        spare = (gates[k - 1][2] * out[k - 1] if led_on else 0.0) - needs[before]
        slack = now.pull[before] <= 0.0
        out.append(max(0.0, -spare) if slack and sense < 0 else sense * spare)
        goes_on = k + 1 < len(gates) and passes[k + 1] and gates[k + 1][0] == after
        if not goes_on and now.pull[after] <= 0.0 and sense * out[k] < needs[after] - ROUNDING:
            return None
    return out


def _asking(
    system: System,
    now: Pulled,
    gates: Sequence[Gate],
    passes: Sequence[bool],
    flow: Sequence[float],
    scale: float,
) -> list[int]:
    """The gates that have to do otherwise: those drawn harder than they hold, or else the one that passes
    rope against its way.
    """
    drawn = [
        k
        for k, (before, after, sense, contact) in enumerate(gates)
        if not passes[k]
        and sense * float(now.pull[after] - now.pull[before])
        > system.contacts[contact].slides + CLOSE * scale
    ]
    if drawn:
        return drawn
    back = [k for k, rope in enumerate(flow) if rope < -ROUNDING]
    return [min(back, key=lambda k: flow[k])] if back else []
