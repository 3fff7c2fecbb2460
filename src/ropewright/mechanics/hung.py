"""Long strands as they hang: a solved rig solved once more with elastic catenaries in place of straight
strands.

Unknown are the positions of the free points, the laid length of every strand and the hand's pull.
Equations: forces at the free points; at every contact that rope passes the ratio of the tensions on its two
sides; the laid length of every block between contacts that hold, or the hand's pull where a hand ends it;
the load's height where a hand moves it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ropewright.patience import keep_time

from .catenary import hang
from .errors import MechanicsError, NoSolutionError
from .model import GRAVITY, NEAR, Array, System, wraps
from .moving import Blocks, Friction, Stance, blocks
from .settle import Rest

STEP = 1e-6
"""Relative step of the finite differences; the strand law is smooth, so forces come out to about 1e-9."""
CLOSE = 1e-7
"""Force left over, as a share of the moved weight, at which the rig counts as solved."""


@dataclass(frozen=True)
class Hung:
    """A rig with its long strands hanging.

    ``position`` (n, 3) [m]; ``on_start``, ``on_end`` (S, 3) [N] the force of each strand on the points at
    its ends; ``tension_start``, ``tension_end`` (S,) [N]; ``laid`` (S,) [m]; ``hand`` [N]; ``sag`` (S,) [m]
    below the chord's lower end.
    """

    position: Array
    on_start: Array
    on_end: Array
    tension_start: Array
    tension_end: Array
    laid: Array
    hand: float
    sag: Array

    @property
    def tension(self) -> Array:
        """Greatest tension (S,) [N] of each strand."""
        return np.maximum(self.tension_start, self.tension_end)


def hang_rig(
    system: System,
    stance: Stance,
    grouped: Blocks,
    friction: Friction,
    position: Array,
    tension: Array,
    hand: float,
    height: float | None = None,
) -> Hung:
    """Solve again, from a solution with straight strands, with every strand of a rope of known weight as a
    catenary.

    ``position`` (n, 3), ``tension`` (S,), ``hand``: that solution; ``friction``: one sample, in the sense
    of the slip; ``height`` [m] of the load where a hand moves it. Raises ``NoSolutionError`` where Newton
    does not close.
    """
    problem = _Hanging(system, stance, grouped, friction, height)
    x = problem.start(position, tension, hand)
    scale = system.moved_weight
    for _ in range(40):
        out, strands = problem.residual(x)
        if np.abs(out).max() <= CLOSE * scale:
            return problem.described(x, strands.ends)
        jacobian = problem.jacobian(x, out, strands)
        step, *_ = np.linalg.lstsq(jacobian, -out, rcond=1e-12)
        x = problem.step(x, np.asarray(step), float(np.linalg.norm(out)))
    worst = float(np.abs(problem.residual(x)[0]).max())
    raise NoSolutionError(f"the long strands do not come to hang: {worst:.3g} N left over")


def hang_at_rest(system: System, rest: Rest, hands: bool = True) -> Hung | None:
    """A rig at rest with its long strands hanging; None where no rope's weight counts.

    Raises as ``hang_rig``.
    """
    if not system.strands.weight.any():
        return None
    fast = tuple(
        replace(
            rope,
            contacts=tuple(
                replace(c, end="", holds="both") if c.end == "hand" and hands else c for c in rope.contacts
            ),
        )
        for rope in system.ropes
    )
    still = replace(system, ropes=fast)
    keeps = tuple(
        bool(c.end) or (c.holds != "none" and float(rest.passed[k]) < NEAR)
        for k, c in enumerate(still.contacts)
    )
    stance = Stance(keeps, tuple(0 for _ in keeps))
    nothing = np.zeros((len(keeps), 1))
    return hang_rig(
        still, stance, blocks(still, stance), Friction(nothing, nothing), rest.position, rest.tension, 0.0
    )


Ends = tuple[Array, Array, float, float]
"""Forces of one strand on the points at its ends, and its tensions there."""


@dataclass(frozen=True, slots=True)
class _Strands:
    """The strands at one guess: their chords (S, 3), laid lengths (S,), and what they do at their ends."""

    chord: Array
    laid: Array
    ends: list[Ends]


class _Hanging:
    def __init__(
        self, system: System, stance: Stance, grouped: Blocks, friction: Friction, height: float | None
    ) -> None:
        self.system, self.stance, self.grouped = system, stance, grouped
        self.friction, self.height = friction, height
        self.free = system.free
        self.m, self.s = 3 * len(system.free), len(system.strands)
        self.point_weight = system.mass * GRAVITY

    def start(self, position: Array, tension: Array, hand: float) -> Array:
        """The unknowns: positions, laid lengths and, last, the hand's pull."""
        s = self.system.strands
        length = np.linalg.norm(position[s.end] - position[s.start], axis=1)
        laid = length / (1.0 + tension / s.stiffness)
        for b, kind in enumerate(self.grouped.kind):
            ids = np.flatnonzero(self.grouped.member == b)
            if kind == "closed" and laid[ids].sum() > 0:
                laid[ids] *= self.grouped.laid[b] / laid[ids].sum()
        return np.concatenate([position[self.free].ravel(), laid, [hand]])

    def strand(self, k: int, chord: Array, laid: float) -> Ends:
        """Forces on both ends and tensions there of one strand; straight where its rope's weight is not
        counted.
        """
        s = self.system.strands
        weight = float(s.weight[k])
        if weight > 0:
            try:
                found = hang(chord, max(laid, 1e-6), float(s.stiffness[k]), weight)
            except (ValueError, MechanicsError) as error:
                raise NoSolutionError(f"a long strand cannot hang: {error}") from error
            return found.force_on_start, found.force_on_end, found.tension_start, found.tension_end
        length = float(np.linalg.norm(chord))
        pull = max(0.0, float(s.stiffness[k]) * (length - laid) / max(laid, 1e-3))
        along = chord / length if length > 0 else chord
        return pull * along, -pull * along, pull, pull

    def residual(self, x: Array, near: _Strands | None = None) -> tuple[Array, _Strands]:
        """What is left over of every equation, and the strands. ``near``: another guess, from which a strand
        that is the very same there is taken.
        """
        keep_time()
        position = self.position(x)
        laid = x[self.m : self.m + self.s]
        s = self.system.strands
        chord = position[s.end] - position[s.start]
        carried = self.carried(chord, laid, near)
        force = np.zeros((len(position), 3))
        for k, (on_start, on_end, _, _) in enumerate(carried):
            force[s.start[k]] += on_start
            force[s.end[k]] += on_end
        force[:, 2] -= self.point_weight
        rows = [force[self.free].ravel(), self._ropes(x, laid, carried)]
        if self.height is not None:
            rows.append(np.array([(position[self.system.load, 2] - self.height) * self.system.moved_weight]))
        else:
            rows.append(np.array([x[-1]]))
        return np.concatenate(rows), _Strands(chord, laid, carried)

    def carried(self, chord: Array, laid: Array, near: _Strands | None) -> list[Ends]:
        """What each strand does at its ends; nothing where no rope is, or where it lies idle."""
        same = np.zeros(self.s, bool)
        if near is not None:
            same = (chord == near.chord).all(axis=1) & (laid == near.laid)
        out: list[Ends] = []
        for k in range(self.s):
            if near is not None and same[k]:
                out.append(near.ends[k])
            elif not self.system.strands.real[k] or self.grouped.kind[self.grouped.member[k]] == "idle":
                out.append((np.zeros(3), np.zeros(3), 0.0, 0.0))
            else:
                out.append(self.strand(k, chord[k], float(laid[k])))
        return out

    def _ropes(self, x: Array, laid: Array, carried: list[Ends]) -> Array:
        """One equation a strand: its block's length, the hand's pull, or the ratio to the strand before
        it.
        """
        s = self.system.strands
        unit = np.array([c[0] / c[2] if c[2] > 0 else np.zeros(3) for c in carried])
        theta = wraps(self.system, unit)
        out = np.zeros(self.s)
        for b, kind in enumerate(self.grouped.kind):
            ids = np.flatnonzero(self.grouped.member == b)
            weight = self.system.moved_weight
            if kind == "idle":
                out[ids] = 0.0
                continue
            if kind == "hand":
                out[ids[0]] = (
                    carried[ids[-1]][3] - x[-1] if s.real[ids[-1]] else laid[ids[0]] - s.laid[ids[0]]
                )
            else:
                out[ids[0]] = (laid[ids].sum() - self.grouped.laid[b]) * weight
            for k in ids[1:]:
                c = int(s.first[k])
                log = self.stance.slip[c] * (
                    self.friction.fixed[c, 0] + self.friction.per_radian[c, 0] * theta[c]
                )
                out[k] = carried[k][2] - float(np.exp(log)) * carried[k - 1][3]
        return out

    def position(self, x: Array) -> Array:
        out = self.system.position.copy()
        out[self.free] = x[: self.m].reshape(-1, 3)
        return out

    def jacobian(self, x: Array, out: Array, strands: _Strands) -> Array:
        """By finite differences: an unknown moves the strands at its point, or its own, and no other."""
        columns = np.zeros((len(out), len(x)))
        for k in range(len(x)):
            h = STEP * max(1.0, abs(float(x[k])))
            moved = x.copy()
            moved[k] += h
            columns[:, k] = (self.residual(moved, strands)[0] - out) / h
        return columns

    def step(self, x: Array, step: Array, norm: float) -> Array:
        """The longest share of a step, halved at need, that brings the equations closer."""
        share = min(1.0, 1.0 / max(1e-12, float(np.abs(step[: self.m + self.s]).max())))
        while share > 1e-6:
            trial = x + share * step
            try:
                if np.linalg.norm(self.residual(trial)[0]) < norm:
                    return trial
            except NoSolutionError:
                pass
            share *= 0.5
        return x + share * step

    def described(self, x: Array, carried: list[Ends]) -> Hung:
        position = self.position(x)
        laid = x[self.m : self.m + self.s].copy()
        s = self.system.strands
        sag = np.zeros(self.s)
        for k in range(self.s):
            if s.weight[k] > 0 and s.real[k] and carried[k][2] > 0:
                chord = position[s.end[k]] - position[s.start[k]]
                lowest = hang(chord, float(laid[k]), float(s.stiffness[k]), float(s.weight[k])).lowest[2]
                sag[k] = max(0.0, min(0.0, float(chord[2])) - float(lowest))
        return Hung(
            position,
            np.array([c[0] for c in carried]),
            np.array([c[1] for c in carried]),
            np.array([c[2] for c in carried]),
            np.array([c[3] for c in carried]),
            laid,
            float(x[-1]),
            sag,
        )
