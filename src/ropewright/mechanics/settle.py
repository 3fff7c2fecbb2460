"""Where a rig comes to rest: the least of gravity plus elastic energy, ropes that only pull, grips that hold
their way.

A strand's length is a convex function of the positions, a rope that only pulls has an energy that never
falls with its length, and a one-way contact adds flows that may not be negative: a convex programme with
second-order cones, solved by an interior-point library. Its answer does not depend on the start. Friction
is left out (docs/theory/settling.md).
"""

from __future__ import annotations

from dataclasses import dataclass

import clarabel
import numpy as np

from ropewright.patience import keep_time

from .model import SLACK, Array, Flags, Ints, System
from .nearby import CLOSE, NUDGE, Energy, grouped, near_rest
from .reach import fed
from .segments import Cut, cut
from .stiffness import joins_of

CLOSED = 1e-9
"""Accuracy asked of the programme, scaled by the weight; an answer to within 1e-5 is still taken, then
polished."""


def _carries_nothing(system: System, cut_: Cut, moving: Ints) -> Flags:
    """Segments (K,) that can be fed without end, or that lead to a free point which has fallen away."""
    stays = system.fixed.copy()
    stays[moving] = True
    here = [bool(stays[c.node]) for c in system.contacts] if not stays.all() else []
    gone = [k for k, s in enumerate(cut_.segments) if here and not all(here[s.first : s.last + 1])]
    return fed(cut_, gone)


@dataclass(frozen=True)
class Rest:
    """A rig at rest.

    ``position`` (n, 3) [m]; ``tension`` (S,) [N] of every strand; ``laid`` (S,) [m] the unstretched length
    each strand then has; ``passed`` (C,) [m] rope let through each one-way contact, in the way it lets it;
    ``residual`` [N] the largest force left over at a free point; ``settled`` whether the solver closed.
    """

    position: Array
    tension: Array
    laid: Array
    passed: Array
    residual: float
    settled: bool


class _Sparse:
    """A matrix in compressed columns, with the attributes that the solver reads."""

    has_sorted_indices = True
    has_canonical_format = True

    def __init__(self, shape: tuple[int, int], rows: Ints, columns: Ints, data: Array) -> None:
        """The entries that are not zero, in the order of the columns and in each column of the rows."""
        self.shape, self.data, self.indices, self.nnz = shape, data, rows, len(rows)
        self.indptr = np.zeros(shape[1] + 1, dtype=np.int64)
        np.cumsum(np.bincount(columns, minlength=shape[1]), out=self.indptr[1:])


def _sparse(dense: Array) -> _Sparse:
    columns, rows = np.nonzero(dense.T)
    return _Sparse(dense.shape, rows, columns, dense[rows, columns])


def _diagonal(values: Array) -> _Sparse:
    at = np.flatnonzero(values)
    return _Sparse((len(values), len(values)), at, at, values[at])


def _settings() -> clarabel.DefaultSettings:
    out = clarabel.DefaultSettings()
    out.verbose = False
    out.tol_gap_abs = out.tol_gap_rel = out.tol_feas = CLOSED
    return out


_SETTINGS = _settings()


class _Convex:
    """The programme in positions x, strand lengths l, segment stretches e and one-way flows q, scaled by
    the weight.
    """

    def __init__(self, system: System, cut_: Cut, moving: Ints) -> None:
        self.system, self.cut, self.moving = system, cut_, moving
        s = system.strands
        self.slot = np.full(len(system.position), -1, dtype=np.int64)
        self.slot[moving] = np.arange(len(moving))
        slack = _carries_nothing(system, cut_, moving)
        self.segments = [k for k in range(len(cut_.segments)) if not slack[k]]
        carries = ~slack[cut_.member]
        self.strands = np.flatnonzero(
            s.real & carries & ((self.slot[s.start] >= 0) | (self.slot[s.end] >= 0))
        )
        self.gates = self._gates(slack)
        self.scale = system.moved_weight
        m, n, k, g = len(moving), len(self.strands), len(self.segments), len(self.gates)
        self.offsets = np.cumsum([0, 3 * m, n, k, g])

    def _gates(self, slack: Flags) -> list[tuple[int, int, int, int]]:
        """(segment before, segment after, +1 if rope may pass forward else −1, flat contact) of the gates
        that matter.
        """
        out = []
        for chain in self.cut.chains:
            for a, b, gate in zip(chain.segments, chain.segments[1:], chain.gates, strict=False):
                if not slack[a] and not slack[b]:
                    out.append((a, b, 1 if gate == "backward" else -1, self.cut.segments[a].last))
        return out

    def cost(self) -> tuple[Array, Array]:
        """Quadratic and linear cost."""
        _, end_x, end_l, end_e, size = self.offsets
        quadratic = np.zeros(size)
        quadratic[:end_x] = NUDGE
        quadratic[end_l:end_e] = 1.0 / (self.cut.compliance[self.segments] * self.scale)
        linear = np.zeros(size)
        linear[2:end_x:3] = self.system.weight[self.moving] / self.scale
        contacts = self.system.contacts
        linear[end_e:] = [contacts[contact].slides / self.scale for *_, contact in self.gates]
        linear[:end_x] -= NUDGE * self.system.position[self.moving].ravel()
        return quadratic, linear

    def rows(self) -> tuple[Array, Array]:
        """A and b of b − A·v in the cones: segment stretches, flows, then four rows for each strand."""
        _, end_x, end_l, end_e, size = self.offsets
        s, position = self.system.strands, self.system.position
        k, g, n = len(self.segments), len(self.gates), len(self.strands)
        a, b = np.zeros((k + g + 4 * n, size)), np.zeros(k + g + 4 * n)
        row_of = np.full(len(self.cut.segments), -1, dtype=np.int64)
        row_of[self.segments] = np.arange(k)
        b[:k] = self.cut.laid[self.segments]
        still = s.real & (row_of[self.cut.member] >= 0)
        still[self.strands] = False
        if still.any():
            length = np.linalg.norm(position[s.end[still]] - position[s.start[still]], axis=1)
            np.subtract.at(b, row_of[self.cut.member[still]], length)
        each = np.arange(n)
        a[row_of[self.cut.member[self.strands]], end_x + each] = 1.0
        a[np.arange(k), end_l + np.arange(k)] = -1.0
        for i, (before, after, sense, _) in enumerate(self.gates):
            a[row_of[before], end_e + i] = sense
            a[row_of[after], end_e + i] = -sense
            a[k + i, end_e + i] = -1.0
        at = k + g + 4 * each
        a[at, end_x + each] = -1.0
        for nodes, sign in ((s.start[self.strands], 1.0), (s.end[self.strands], -1.0)):
            slot = self.slot[nodes]
            moves = slot >= 0
            first, column, stays = at[moves] + 1, 3 * slot[moves], at[~moves] + 1
            for axis in range(3):
                a[first + axis, column + axis] += sign
                b[stays + axis] -= sign * position[nodes[~moves], axis]
        return a, b

    def solve(self) -> tuple[Array, Array, Array, bool]:
        """The variables, the segments' tensions [N], the strands' forces (n, 3) [N], and whether the
        solver closed.
        """
        quadratic, linear = self.cost()
        a, b = self.rows()
        k, g, n = len(self.segments), len(self.gates), len(self.strands)
        cones = [clarabel.NonnegativeConeT(k + g)] if k + g else []
        cones += [clarabel.SecondOrderConeT(4)] * n
        solution = clarabel.DefaultSolver(
            _diagonal(quadratic), linear, _sparse(a), b, cones, _SETTINGS
        ).solve()
        closed = max(solution.r_prim, solution.r_dual) < 1e4 * CLOSED
        dual = np.array(solution.z)
        return (
            np.array(solution.x),
            dual[:k] * self.scale,
            dual[k + g :].reshape(n, 4)[:, 1:] * self.scale,
            closed,
        )


def settle(
    system: System,
    *,
    hands: bool = True,
    opened: bool = False,
    movable: Ints | None = None,
    near: bool = False,
) -> Rest:
    """Bring a rig to rest.

    ``hands``: hands hold the rope; ``opened``: devices are held open; ``movable``: indices of the free
    points that are held by something (the others stay where they are; leave out to move all). Each must be
    held (``reach.held``), or the programme has no floor. ``near``: it may stand near its rest, so that a few
    steps of Newton's method are tried first; rope passed between slack strands, of which there is no one
    answer, is then none. Does not raise: ``settled`` is False where the solver did not close to 1e-8.
    """
    cut_ = cut(system, hands, opened)
    moving = system.free if movable is None else np.asarray(movable, dtype=np.int64)
    position = system.position.copy()
    passed = np.zeros(len(system.contacts))
    if not len(moving):
        tension = np.zeros(len(system.strands))
        return Rest(position, tension, laid_lengths(system, cut_, tension, position), passed, 0.0, True)
    problem = _Convex(system, cut_, moving)
    quick = near_rest(system, cut_, moving, problem.segments, problem.gates, problem.scale) if near else None
    if quick is not None:
        position, per_segment, passed, residual = quick
        tension = per_segment[cut_.member]
        laid = laid_lengths(system, cut_, tension, position)
        return Rest(position, tension, laid, passed, residual, True)
    x, pull, force, closed = problem.solve()
    _, end_x, _, end_e, _ = problem.offsets
    for (_, _, _, contact), flow in zip(problem.gates, x[end_e:], strict=True):
        passed[contact] = max(0.0, float(flow))
    per_segment = np.zeros(len(cut_.segments))
    per_segment[problem.segments] = pull
    per_segment[per_segment < SLACK * problem.scale] = 0.0
    position[moving] = x[:end_x].reshape(-1, 3)
    residual = _left_over(problem, force)
    position, per_segment, polished = _polish(problem, position, per_segment, passed)
    residual = min(residual, polished)
    tension = per_segment[cut_.member]
    laid = laid_lengths(system, cut_, tension, position)
    settled = residual <= 1e-6 * problem.scale and (closed or polished <= residual)
    return Rest(position, tension, laid, passed, residual, settled)


def _polish(problem: _Convex, position: Array, pull: Array, passed: Array) -> tuple[Array, Array, float]:
    """Newton's method from the programme's answer, its choice of tight segments and passing gates kept.

    Positions of the programme are good to the root of its gap, forces want them better. Where it does not
    help (two points have met, or a choice was a close call) the programme's own answer stands.
    """
    passes = [bool(passed[contact] > 1e-6) for *_, contact in problem.gates]
    group, above = grouped(problem.gates, passes, problem.system, len(problem.cut.segments))
    tight = sorted({g for g, force in zip(group, pull.tolist(), strict=True) if force > 0})
    energy = Energy(problem.system, problem.cut, problem.moving, problem.scale, group, above, tight)
    best = (position, pull, np.inf)
    x = position
    for _ in range(6):
        keep_time()
        now = energy.at(x)
        if now is None:
            return (position, pull, np.inf) if best[2] == np.inf else best
        if now.residual < best[2]:
            best = (x, now.pull, now.residual)
        if now.residual < CLOSE * problem.scale or now.residual > 1e3 * max(best[2], 1e-12):
            break
        x = x.copy()
        x[problem.moving] += energy.step(now, pulling=False)
    return best if best[2] < 1e-4 * problem.scale else (position, pull, np.inf)


def _left_over(problem: _Convex, force: Array) -> float:
    """Largest force [N] that the strands' pulls and the weight leave at a moving point."""
    total = -(joins_of(problem.system, problem.moving)[problem.strands].T @ force)
    total[:, 2] += problem.system.weight[problem.moving]
    return float(np.abs(total).max(initial=0.0))


def laid_lengths(system: System, cut_: Cut, tension: Array, position: Array) -> Array:
    """Unstretched length (S,) [m] of every strand: what its tension leaves, or with its slack where it has
    any.
    """
    s = system.strands
    length = np.linalg.norm(position[s.end] - position[s.start], axis=1)
    laid = length / (1.0 + tension / s.stiffness)
    pulled = np.bincount(cut_.member, tension > 0, len(cut_.segments)).tolist()
    for k, segment in enumerate(cut_.segments):
        if segment.open or pulled[k]:
            continue
        ids = list(segment.strands)
        spare = cut_.laid[k] - length[ids].sum()
        longest = ids[int(np.argmax(length[ids]))]
        laid[longest] += max(0.0, float(spare))
    return np.asarray(laid)
