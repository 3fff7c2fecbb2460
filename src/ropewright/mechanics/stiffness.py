"""How strand lengths answer to the points' positions, and how tension keeps strands straight: shared by
all solvers.
"""

from __future__ import annotations

import numpy as np

from .model import Array, Ints, System, incidence


def joins_of(system: System, moving: Ints) -> Array:
    """The incidence of the strands on the moving points, the system's own where all free points move."""
    if moving is system.free:
        return system.joins
    return incidence(system.strands, moving, len(system.position))


def length_rows(system: System, unit: Array, moving: Ints) -> Array:
    """∂(strand length)/∂(positions of the moving points): (S, 3m), for unit directions ``unit`` (S, 3)."""
    rows = joins_of(system, moving)[:, :, None] * unit[:, None, :]
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
    return straightening(joins_of(system, moving), unit, np.maximum(firm, 0.0))
