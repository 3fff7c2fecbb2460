"""How a rig moves when its load does: the same matrix as the forces, transposed.

With the strands' directions as rows of a matrix A (lengths change by A·v), forces are Aᵀ·T. A taut rope
keeps its length, so the admissible motions are the v with A·v = 0, and by virtual work hand force × hand
travel = load × load travel without friction. Where that leaves a choice, the rig keeps the equilibrium:
least change against the tension stiffness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .model import SLACK, Array, System, chord
from .moving import Blocks
from .stiffness import length_rows, tension_stiffness


@dataclass(frozen=True)
class Rates:
    """Motion per metre that the load travels.

    ``velocity`` (n, 3) of every point; ``flow`` (C,) rope past every flat contact, positive towards the end
    of its run; ``hand`` (B,) rope taken in by the hand of each block (0 where no moving hand); ``misfit``
    the rate at which taut ropes would have to stretch (0 for a true mechanism); ``softest`` the least
    stiffness [N/m] against any other motion and ``loose`` the point that moves most in it.
    """

    velocity: Array
    flow: Array
    hand: Array
    misfit: float
    softest: float
    loose: int


def _idle(system: System, tension: Array) -> Array:
    """1 for a free point that weighs nothing and has no tight rope, so that its freedom is not taken for
    looseness.
    """
    s = system.strands
    tight = np.zeros(len(system.position), dtype=bool)
    pulled = s.real & (tension > 1e-9 * system.moved_weight)
    tight[s.start[pulled]] = tight[s.end[pulled]] = True
    return np.asarray(np.where(tight | (system.weight > 0), 0.0, 1.0)[system.free])


def rates(system: System, blocks: Blocks, position: Array, tension: Array, direction: int) -> Rates:
    """Motion per metre of load travel, the load rising (``direction`` +1) or sinking (−1).

    ``position`` (n, 3), ``tension`` (S,) of a solved state. Valid where the taut ropes leave at least one
    motion; otherwise ``misfit`` is not small and the rest is the nearest that can be had.
    """
    unit, length = chord(position, system.strands)
    rows = length_rows(system, unit, system.free)
    m = len(system.free)
    load = int(np.flatnonzero(system.free == system.load)[0])
    scale = system.moved_weight
    taut, kinds = [], []
    for b, kind in enumerate(blocks.kind):
        ids = blocks.member == b
        if kind == "closed" and tension[ids].max(initial=0.0) > SLACK * scale:
            taut.append(rows[ids].sum(axis=0))
            kinds.append(b)
    lift = np.zeros(3 * m)
    lift[3 * load + 2] = 1.0
    constraints = np.array([*taut, lift])
    rhs = np.zeros(len(constraints))
    rhs[-1] = float(direction)
    stiffness = tension_stiffness(system, unit, length, np.maximum(tension, 0.0), system.free) / scale
    stiffness += np.diag(np.repeat(_idle(system, tension), 3))
    left, values, right = np.linalg.svd(constraints, full_matrices=True)
    rank = int((values > 1e-10 * values[0]).sum())
    base = ((rhs @ left[:, :rank]) / values[:rank]) @ right[:rank]  # the least motion that meets them
    misfit = float(np.abs(constraints @ base - rhs).max())
    null = right[rank:].T
    softest, loose = np.inf, -1
    velocity = base
    if null.shape[1]:
        reduced = null.T @ stiffness @ null
        eigenvalues, vectors = np.linalg.eigh(reduced)
        firm = np.abs(eigenvalues) > 1e-10 * np.abs(eigenvalues).max()
        stiff, against = vectors[:, firm], null.T @ (stiffness @ base)
        velocity = base - null @ (stiff @ ((against @ stiff) / eigenvalues[firm]))
        softest = float(eigenvalues[0] * scale)
        mode = (null @ vectors[:, 0]).reshape(m, 3)
        loose = int(system.free[int(np.argmax((mode * mode).sum(axis=1)))])
    full = np.zeros((len(system.position), 3))
    full[system.free] = velocity.reshape(m, 3)
    return Rates(full, *_flows(system, blocks, rows @ velocity), misfit, softest, loose)


def _flows(system: System, blocks: Blocks, growth: Array) -> tuple[Array, Array]:
    """Rope past each contact (C,) and into each moving hand (B,), from the strands' growth (S,)."""
    flow = np.zeros(len(system.contacts))
    hand = np.zeros(len(blocks.kind))
    for b, kind in enumerate(blocks.kind):
        ids = np.flatnonzero(blocks.member == b)
        paid = -np.cumsum(growth[ids])
        for k, gone in zip(ids[1:], paid[:-1], strict=True):
            flow[system.strands.first[k]] = gone
        if kind == "hand":
            hand[b] = paid[-1]
    return flow, hand
