"""How strand lengths answer to the points' positions, and how tension keeps strands straight: shared by
all solvers.
"""

from __future__ import annotations

import numpy as np

from .model import Array, Ints, System


def incidence(system: System, moving: Ints) -> Array:
    """(S, m): −1 where a strand starts at the m-th moving point, +1 where it ends there, 0 for strands
    within a point.
    """
    s = system.strands
    slot = np.full(len(system.position), -1, dtype=np.int64)
    slot[moving] = np.arange(len(moving))
    out = np.zeros((len(s), len(moving)))
    for nodes, sign in ((s.start, -1.0), (s.end, 1.0)):
        rows = np.flatnonzero(slot[nodes] >= 0)
        np.add.at(out, (rows, slot[nodes[rows]]), sign)
    return out


def length_rows(system: System, unit: Array, moving: Ints) -> Array:
    """∂(strand length)/∂(positions of the moving points): (S, 3m), for unit directions ``unit`` (S, 3)."""
    rows = incidence(system, moving)[:, :, None] * unit[:, None, :]
    return np.asarray(rows.reshape(len(unit), 3 * len(moving)))


def straightening(joins: Array, unit: Array, firm: Array) -> Array:
    """Σ firm·(I − u uᵀ) over the strands, (3m, 3m) [N/m].

    ``joins`` (S, m) is the incidence, ``unit`` (S, 3), ``firm`` (S,) [N/m] the tension over length of each
    strand.
    """
    m = joins.shape[1]
    spread = joins.T @ (firm[:, None] * joins)
    pulled = np.sqrt(np.maximum(firm, 0.0))[:, None] * unit
    along = (joins[:, :, None] * pulled[:, None, :]).reshape(len(firm), 3 * m)
    out = -(along.T @ along)
    for axis in range(3):
        out[axis::3, axis::3] += spread
    return np.asarray(out)


def tension_stiffness(system: System, unit: Array, length: Array, tension: Array, moving: Ints) -> Array:
    """Stiffness that tension gives across the strands, (3m, 3m) [N/m], symmetric, positive semidefinite."""
    firm = np.where(system.strands.real & (length > 0), tension / np.where(length > 0, length, 1.0), 0.0)
    return straightening(incidence(system, moving), unit, np.maximum(firm, 0.0))
