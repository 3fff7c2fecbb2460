"""Forces while a load is hauled or lowered: equilibrium with friction in the sense of the slip.

Unknown are the positions of the free points and the hand's force; known is the height of the load. All
arrays carry a last axis of N samples, so that one solve and a hundred thousand are the same code.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ropewright.patience import keep_time

from .model import GRAVITY, NEAR, Array, Flags, Ints, System
from .segments import lets_in
from .stiffness import straightening

FROZEN_LIMIT = 40
"""Steps allowed to samples that share one Jacobian (studies/frozen_jacobian.py)."""


@dataclass(frozen=True)
class Stance:
    """What each flat contact does while the rig moves: ``slip`` (C,) is +1 where rope passes towards the
    end of its run, −1 towards its start, 0 where it passes without moving; ``held`` (C,) where it does
    not pass.
    """

    held: tuple[bool, ...]
    slip: tuple[int, ...]


@dataclass(frozen=True)
class Blocks:
    """Strands between held contacts share rope: ``member`` (S,) is each strand's block, ``kind`` one of
    "closed" (an elastic length), "hand" (pulled by the moving hand), "idle" (ends free or in a tending
    hand: no tension).
    """

    member: Ints
    kind: tuple[str, ...]
    laid: Array
    first: tuple[int, ...]  # first strand of each block


def blocks(system: System, stance: Stance) -> Blocks:
    """Group the strands by what is held."""
    member = np.zeros(len(system.strands), dtype=np.int64)
    kind: list[str] = []
    first: list[int] = []
    flat = strand = 0
    for rope in system.ropes:
        last = len(rope.contacts) - 1
        begin = 0
        for k in range(1, last + 1):
            if k < last and not stance.held[flat + k]:
                continue
            ends = {rope.contacts[begin].end if begin == 0 else "", rope.contacts[k].end if k == last else ""}
            pulled_through = (begin == 0 and lets_in(rope.contacts[0].holds, first=True)) or (
                k == last and not rope.contacts[k].end and lets_in(rope.contacts[k].holds, first=False)
            )
            if "tail" in ends or ("hand" in ends and rope.idle) or pulled_through:
                kind.append("idle")
            else:
                kind.append("hand" if "hand" in ends else "closed")
            member[strand + begin : strand + k] = len(first)
            first.append(strand + begin)
            begin = k
        flat += last + 1
        strand += last
    laid = np.zeros(len(first))
    np.add.at(laid, member, system.strands.laid)
    return Blocks(member, tuple(kind), laid, tuple(first))


def in_any(member: Ints, groups: list[int]) -> Flags:
    """Which strands (S,) belong to any of the groups; ``np.isin`` would import masked arrays for it."""
    return np.asarray((member[:, None] == np.array(groups, dtype=np.int64)[None, :]).any(axis=1))


@dataclass(frozen=True)
class Friction:
    """Friction of every flat contact in its direction of slip, for N samples: ``fixed``, ``per_radian``
    (C, N).
    """

    fixed: Array
    per_radian: Array


def friction_of(system: System, stance: Stance, scale: float = 1.0) -> Friction:
    """The contacts' own drags in the direction of slip, times ``scale`` (0 leaves friction out), one
    sample.
    """
    fixed = np.zeros((len(system.contacts), 1))
    per = np.zeros_like(fixed)
    for c, contact in enumerate(system.contacts):
        if stance.held[c] or stance.slip[c] == 0:
            continue
        drag = contact.forward if stance.slip[c] > 0 else contact.backward
        fixed[c], per[c] = scale * drag.fixed, scale * drag.per_radian
    return Friction(fixed, per)


@dataclass(frozen=True)
class Moving:
    """A solved moving rig, N samples.

    ``position`` (3, n, N) [m]; ``tension`` (S, N) and ``hand`` (N,) [N], the hand's pull at one hand;
    ``residual`` (N,) [N].
    """

    position: Array
    tension: Array
    hand: Array
    residual: Array


class _Problem:
    """The equations of one rig and stance, its index work done once and its sums written as matrices."""

    def __init__(self, system: System, stance: Stance, mass: Array, height: float, reference: int) -> None:
        s = system.strands
        self.system, self.height = system, height
        self.blocks = blocks(system, stance)
        self.reference = self._last_hand_strand() if reference < 0 else reference
        self.free = system.free
        self.incidence = system.joins
        self.load = int(np.flatnonzero(self.free == system.load)[0])
        half = np.zeros(len(system.position))
        np.add.at(half, s.start, 0.5 * s.weight * s.laid)
        np.add.at(half, s.end, 0.5 * s.weight * s.laid)
        self.weight = (mass * GRAVITY + half[:, None])[self.free]
        self.smooth = np.where(s.real, NEAR * NEAR, 0.0)[:, None]
        self.give = (np.maximum(s.laid, 1e-3) / s.stiffness)[:, None]
        self._index_blocks()
        self._index_turns(stance)

    def _last_hand_strand(self) -> int:
        hands = [b for b, kind in enumerate(self.blocks.kind) if kind == "hand"]
        return int(np.flatnonzero(in_any(self.blocks.member, hands))[-1]) if hands else 0

    def _index_blocks(self) -> None:
        member = self.blocks.member
        closed = [b for b, kind in enumerate(self.blocks.kind) if kind == "closed"]
        hands = [b for b, kind in enumerate(self.blocks.kind) if kind == "hand"]
        self.closed = (member[None, :] == np.array(closed, dtype=np.int64)[:, None]).astype(np.float64)
        self.pulled = in_any(member, hands).astype(np.float64)
        self.closed_laid = self.blocks.laid[closed][:, None]

    def _index_turns(self, stance: Stance) -> None:
        """Contacts where rope slips, and the matrix that sums their steps along each block."""
        s, member = self.system.strands, self.blocks.member
        slipping = [c for c, slip in enumerate(stance.slip) if slip and not stance.held[c]]
        pairs = [self.system.neighbours[c] for c in slipping]
        self.slipping = np.array(slipping, dtype=np.int64)
        self.sense = np.array([stance.slip[c] for c in slipping], dtype=np.float64)[:, None]
        self.turns = np.array([k for k, (a, b) in enumerate(pairs) if a >= 0 and b >= 0], dtype=np.int64)
        self.before = np.array([pairs[k][0] for k in self.turns], dtype=np.int64)
        self.after = np.array([pairs[k][1] for k in self.turns], dtype=np.int64)
        self.along = np.zeros((len(s), len(slipping)))
        for j, c in enumerate(slipping):
            first = int(np.flatnonzero(s.first == c)[0])
            later = (np.arange(len(s)) >= first) & (member == member[first])
            self.along[later, j] = 1.0
        for b, kind in enumerate(self.blocks.kind):
            if kind == "hand":
                ids = np.flatnonzero(member == b)
                self.along[ids] -= self.along[ids[-1]]

    def strand_state(self, x: Array) -> tuple[Array, Array]:
        """Unit vectors (3, S, N) and lengths (S, N) of the strands at points ``x`` (3, n, N)."""
        s = self.system.strands
        d = x[:, s.end] - x[:, s.start]
        length = np.sqrt((d * d).sum(axis=0) + self.smooth)
        return d / np.where(length > 0, length, 1.0), length

    def shares(self, unit: Array, friction: Friction) -> Array:
        """Each strand's tension as a multiple of its block's reference tension, (S, N).

        The reference is the hand's own strand in a hand block, the first strand elsewhere: the ratio at each
        contact is T_after/T_before = exp(±(a + b·θ)), plus where rope slips towards the end of its run.
        """
        steps = friction.fixed[self.slipping]
        if len(self.turns):
            a, b = unit[:, self.before], unit[:, self.after]
            size = np.sqrt((a * a).sum(axis=0) * (b * b).sum(axis=0))  # below 1 where lengths are smoothed
            cosine = np.clip((a * b).sum(axis=0) / np.maximum(size, 1e-30), -1.0, 1.0)
            steps = steps + 0.0
            steps[self.turns] += friction.per_radian[self.slipping[self.turns]] * np.arccos(cosine)
        return np.asarray(np.exp(self.along @ (self.sense * steps)))

    def residual(self, x: Array, pull: Array, friction: Friction) -> tuple[Array, _Parts]:
        """Out-of-balance force at the free points and of the load's height, (3m+1, N), with what made it.

        ``pull`` (N,) [N] is the tension of the reference strand, of which the hand's is a share.
        """
        unit, length = self.strand_state(x)
        share = self.shares(unit, friction)
        compliance = self.closed @ (share * self.give)
        base = np.maximum(0.0, self.closed @ length - self.closed_laid) / compliance
        hand = pull / share[self.reference]
        tension = share * (self.closed.T @ base + self.pulled[:, None] * hand)
        force = -np.matmul(self.incidence.T, tension * unit)
        force[2] -= self.weight
        out = np.empty((3 * len(self.free) + 1, x.shape[2]))
        out[:-1] = force.transpose(1, 0, 2).reshape(-1, x.shape[2])
        out[-1] = x[2, self.system.load] - self.height
        return out, _Parts(unit, length, share, tension, compliance, base, hand)

    def jacobian(self, made: _Parts) -> Array:
        """∂residual/∂(positions, pull) of the first sample, contacts' shares held constant; (3m+1, 3m+1)."""
        m = len(self.free)
        unit, share = made.unit[:, :, 0].T, made.share[:, 0]
        rows = (self.incidence[:, :, None] * unit[:, None, :]).reshape(len(share), 3 * m)
        firm = np.where(
            self.system.strands.real, made.tension[:, 0] / np.maximum(made.length[:, 0], NEAR), 0.0
        )
        out = np.zeros((3 * m + 1, 3 * m + 1))
        out[:-1, :-1] = -straightening(self.incidence, unit, firm)
        weighted = self.closed @ (share[:, None] * rows)
        tight = (made.base[:, 0] > 0) / made.compliance[:, 0]
        out[:-1, :-1] -= weighted.T @ (tight[:, None] * (self.closed @ rows))
        out[:-1, -1] = -((self.pulled * share) @ rows) / share[self.reference]
        out[np.arange(3 * m), np.arange(3 * m)] -= 1e-9 * self.system.moved_weight
        out[-1, 3 * self.load + 2] = 1.0
        return out


@dataclass(frozen=True)
class _Parts:
    """What a residual was made from: directions, lengths, shares, tensions, blocks' compliance and
    tension, hand.
    """

    unit: Array
    length: Array
    share: Array
    tension: Array
    compliance: Array
    base: Array
    hand: Array


def solve_moving(
    system: System,
    stance: Stance,
    friction: Friction,
    height: float,
    start: Array,
    hand: float,
    mass: Array | None = None,
    tolerance: float = 1e-10,
    limit: int = 60,
    reference: int = -1,
) -> Moving:
    """Equilibrium of the moving rig with the load at ``height`` [m].

    ``start`` (n, 3) and ``hand`` [N] are a first guess near the answer; ``friction`` for N samples;
    ``mass`` (n, N) [kg], by default the system's; ``reference``: a strand of the hand's rope whose tension
    is taken for the unknown, best one that varies little from sample to sample (by default the hand's own).
    With N = 1 a full Newton step is taken each time; with more, all samples share the Jacobian of the
    first. Read ``residual`` for convergence: the solver does not raise.
    """
    samples = friction.fixed.shape[1]
    masses = np.repeat(system.mass[:, None], samples, axis=1) if mass is None else mass
    problem = _Problem(system, stance, masses, height, reference)
    x = np.repeat(start.T[:, :, None], samples, axis=2)
    pull = float(hand) * problem.shares(problem.strand_state(x)[0], friction)[problem.reference]
    scale, m = system.moved_weight, len(problem.free)
    inverse: Array | None = None
    out, made = problem.residual(x, pull, friction)
    for _ in range(limit if samples == 1 else FROZEN_LIMIT):
        keep_time()
        if np.abs(out).max() <= tolerance * scale:
            break
        if samples == 1:
            step = _solve(problem.jacobian(made), -out)
        else:
            if inverse is None:
                inverse = np.asarray(np.linalg.inv(problem.jacobian(made)), dtype=np.float64)
            step = -inverse @ out
        reach = np.abs(step[:-1]).max(axis=0) if m else np.zeros(samples)
        some = np.minimum(1.0, 0.5 / np.maximum(reach, 1e-12))
        x[:, problem.free] += some * step[:-1].reshape(m, 3, samples).transpose(1, 0, 2)
        pull = pull + some * step[-1]
        out, made = problem.residual(x, pull, friction)
    return Moving(x, made.tension, made.hand, np.abs(out).max(axis=0))


def _solve(matrix: Array, right: Array) -> Array:
    """Solve, or the least step where the matrix is singular."""
    try:
        return np.asarray(np.linalg.solve(matrix, right))
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.lstsq(matrix, right, rcond=1e-13)[0])
