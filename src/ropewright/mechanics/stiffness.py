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


def tension_stiffness(system: System, unit: Array, length: Array, tension: Array, moving: Ints) -> Array:
    """Stiffness that tension gives across the strands, (3m, 3m) [N/m], symmetric, positive semidefinite."""
    b = incidence(system, moving)
    firm = np.where(system.strands.real & (length > 0), tension / np.where(length > 0, length, 1.0), 0.0)
    across = firm[:, None, None] * (np.eye(3) - unit[:, :, None] * unit[:, None, :])
    m = len(moving)
    return np.asarray(np.einsum("sa,sij,sb->aibj", b, across, b).reshape(3 * m, 3 * m))
