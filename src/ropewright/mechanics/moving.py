"""Forces while a load is hauled or lowered: equilibrium with friction in the sense of the slip.

Unknown are the positions of the free points and the hand's force; known is the height of the load. All
arrays carry a last axis of N samples, so that one solve and a hundred thousand are the same code.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .model import GRAVITY, NEAR, Array, Ints, System
from .stiffness import length_rows, tension_stiffness

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
            if "tail" in ends or ("hand" in ends and rope.idle):
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
    def __init__(
        self, system: System, stance: Stance, friction: Friction, mass: Array, height: float, reference: int
    ) -> None:
        s = system.strands
        self.system, self.stance, self.friction = system, stance, friction
        self.blocks = blocks(system, stance)
        self.height, self.reference = height, reference
        self.free = system.free
        self.slot = np.full(len(system.position), -1, dtype=np.int64)
        self.slot[self.free] = np.arange(len(self.free))
        self.load = int(self.slot[system.load])
        weight = mass * GRAVITY
        half = 0.5 * s.weight * s.laid
        extra = np.zeros(len(system.position))
        np.add.at(extra, s.start, half)
        np.add.at(extra, s.end, half)
        self.weight = weight + extra[:, None]
        self.turning = [
            (c, before, after, stance.slip[c])
            for c, (before, after) in enumerate(system.neighbours)
            if stance.slip[c] and not stance.held[c]
        ]
        self.last_of_block = [
            max(np.flatnonzero(self.blocks.member == b)) for b in range(len(self.blocks.kind))
        ]

    def strand_state(self, x: Array) -> tuple[Array, Array]:
        """Unit vectors (3, S, N) and lengths (S, N) of the strands at points ``x`` (3, n, N)."""
        s = self.system.strands
        d = x[:, s.end] - x[:, s.start]
        length = np.sqrt((d * d).sum(axis=0) + np.where(s.real, NEAR * NEAR, 0.0)[:, None])
        return d / np.where(length > 0, length, 1.0), length

    def shares(self, unit: Array) -> Array:
        """Each strand's tension as a multiple of its block's reference tension, (S, N).

        The reference is the hand's own strand in a hand block, the first strand elsewhere: the ratio at
        each contact is T_after/T_before = exp(±(a + b·θ)), plus where rope slips towards the end of its
        run.
        """
        s = self.system.strands
        log = np.zeros((len(s), unit.shape[2]))
        steps = np.zeros((len(self.system.contacts), unit.shape[2]))
        for c, before, after, slip in self.turning:
            steps[c] = slip * self.friction.fixed[c]
            if before >= 0 and after >= 0:
                cosine = np.clip((unit[:, before] * unit[:, after]).sum(axis=0), -1.0, 1.0)
                steps[c] += slip * self.friction.per_radian[c] * np.arccos(cosine)
        for k in range(1, len(s)):
            if self.blocks.member[k] == self.blocks.member[k - 1]:
                log[k] = log[k - 1] + steps[s.first[k]]
        for b, kind in enumerate(self.blocks.kind):
            if kind == "hand":
                ids = self.blocks.member == b
                log[ids] -= log[self.last_of_block[b]]
        return np.asarray(np.exp(log))

    def tensions(self, share: Array, length: Array, hand: Array) -> tuple[Array, Array]:
        """Strand tensions (S, N) [N] and each block's compliance (B, N) [m/N]."""
        s = self.system.strands
        tension = np.zeros_like(length)
        compliance = np.ones((len(self.blocks.kind), length.shape[1]))
        for b, kind in enumerate(self.blocks.kind):
            ids = np.flatnonzero(self.blocks.member == b)
            if kind == "hand":
                tension[ids] = share[ids] * hand
            elif kind == "closed":
                laid = np.maximum(s.laid[ids], 1e-3)
                compliance[b] = (share[ids] * (laid / s.stiffness[ids])[:, None]).sum(axis=0)
                base = np.maximum(0.0, length[ids].sum(axis=0) - self.blocks.laid[b]) / compliance[b]
                tension[ids] = share[ids] * base
        return tension, compliance

    def residual(self, x: Array, pull: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
        """Out-of-balance force at the free points and of the load's height, (3m+1, N), with what it was made
        from.

        ``pull`` (N,) [N] is the tension of the reference strand, of which the hand's is a share.
        """
        s = self.system.strands
        unit, length = self.strand_state(x)
        share = self.shares(unit)
        tension, compliance = self.tensions(share, length, pull / share[self.reference])
        pull = tension * unit
        force = np.zeros((3, len(self.system.position), x.shape[2]))
        for k in range(len(s)):
            force[:, s.start[k]] += pull[:, k]
            force[:, s.end[k]] -= pull[:, k]
        force[2] -= self.weight
        out = np.empty((3 * len(self.free) + 1, x.shape[2]))
        out[:-1] = force[:, self.free].transpose(1, 0, 2).reshape(-1, x.shape[2])
        out[-1] = x[2, self.system.load] - self.height
        return out, unit, length, share, tension, compliance

    def jacobian(self, unit: Array, length: Array, share: Array, tension: Array, compliance: Array) -> Array:
        """∂residual/∂(positions, pull) of the first sample, the contacts' shares held constant; (3m+1,
        3m+1).
        """
        m = len(self.free)
        out = np.zeros((3 * m + 1, 3 * m + 1))
        directions = unit[:, :, 0].T
        rows = length_rows(self.system, directions, self.free)
        out[:-1, :-1] -= tension_stiffness(self.system, directions, length[:, 0], tension[:, 0], self.free)
        for b, kind in enumerate(self.blocks.kind):
            ids = np.flatnonzero(self.blocks.member == b)
            weighted = (share[ids, 0][:, None] * rows[ids]).sum(axis=0)
            if kind == "hand":
                out[:-1, -1] -= weighted / share[self.reference, 0]
            elif kind == "closed" and tension[ids, 0].max() > 0:
                out[:-1, :-1] -= np.outer(weighted, rows[ids].sum(axis=0)) / compliance[b, 0]
        out[-1, 3 * self.load + 2] = 1.0
        return out


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
    grouped = blocks(system, stance)
    last = max(
        (int(np.flatnonzero(grouped.member == b)[-1]) for b, k in enumerate(grouped.kind) if k == "hand"),
        default=0,
    )
    problem = _Problem(system, stance, friction, masses, height, last if reference < 0 else reference)
    x = np.repeat(start.T[:, :, None], samples, axis=2)
    pull = float(hand) * problem.shares(problem.strand_state(x)[0])[problem.reference]
    scale = system.moved_weight
    m = len(problem.free)
    inverse: Array | None = None
    out, unit, length, share, tension, compliance = problem.residual(x, pull)
    for _ in range(limit if samples == 1 else FROZEN_LIMIT):
        worst = np.abs(out).max()
        if worst <= tolerance * scale:
            break
        if samples == 1 or inverse is None:
            jac = problem.jacobian(unit, length, share, tension, compliance)
            inverse = np.linalg.pinv(jac, rcond=1e-13)
        step = -inverse @ out
        shift = step[:-1].reshape(m, 3, samples).transpose(1, 0, 2)
        reach = np.abs(step[:-1]).max(axis=0) if m else np.zeros(samples)
        share_of_step = np.minimum(1.0, 0.5 / np.maximum(reach, 1e-12))
        x[:, problem.free] += share_of_step * shift
        pull = pull + share_of_step * step[-1]
        out, unit, length, share, tension, compliance = problem.residual(x, pull)
    return Moving(x, tension, pull / share[problem.reference], np.abs(out).max(axis=0))
