"""Legs that meet at one point: tripods, bipods and gin poles with their guys.

At the head, Σ Cᵢ·uᵢ + R = 0, where uᵢ points from the foot of member i to the head: C > 0 pushes the head
away from the foot (compression), C < 0 pulls it (tension). Legs are straight, pinned at both ends and
weightless. Frame: z up, metres, newtons.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .errors import NoSolutionError
from .model import Array

FLAT = 1e-9
"""Smallest share of its size that a set of directions may keep across its thinnest way; below it is
singular."""


def leg_forces(feet: Array, head: Array, load: Array) -> Array:
    """Force (k,) [N] in each of two or three legs that meet at a head; compression is positive.

    ``feet`` (k, 3) [m], ``head`` (3,) [m], ``load`` R (3,) [N]: the sum of all that pulls on the head,
    ropes and weights. Two legs carry only what lies in their plane. Raises ``NoSolutionError`` where the legs
    are all in one line (two) or one plane (three), or where the load leaves the plane of two legs;
    ``ValueError`` for a leg without length or another count.
    """
    stand = np.asarray(feet, dtype=np.float64).reshape(-1, 3)
    force = np.asarray(load, dtype=np.float64)
    if len(stand) not in (2, 3):
        raise ValueError(f"two or three legs can be solved by statics alone, not {len(stand)}")
    along = np.asarray(head, dtype=np.float64) - stand
    length = np.linalg.norm(along, axis=1)
    if not (np.isfinite(length).all() and np.isfinite(force).all()):
        raise ValueError("feet, head and load must be finite numbers")
    if (length <= 0).any():
        raise ValueError(f"leg {int(np.argmin(length)) + 1} has no length: its foot is at the head")
    unit = (along / length[:, None]).T
    left, size, right = np.linalg.svd(unit, full_matrices=False)
    if size[-1] <= FLAT * size[0]:
        lie = "along one line" if len(stand) == 2 else "in one plane"
        raise NoSolutionError(f"the {len(stand)} legs lie {lie}, so nothing holds the head across it")
    members = -(right.T @ ((left.T @ force) / size))
    missed = float(np.abs(unit @ members + force).max())
    if missed > 1e-7 * max(1e-12, float(np.abs(force).max())):
        raise NoSolutionError(
            f"{missed:.4g} N of the load points out of the plane of the two legs: a guy is needed there"
        )
    return np.asarray(members)


@dataclass(frozen=True, slots=True)
class GinPole:
    """Forces in a gin pole: ``compression`` [N] of the pole, ``guys`` (k,) [N] tension of each, all ≥ 0."""

    compression: float
    guys: Array


def gin_pole(foot: Array, head: Array, guys: Array, load: Array) -> GinPole:
    """A pole that stands on its foot, held by one guy (all in one plane) or two.

    ``foot``, ``head`` (3,) [m]; ``guys`` (1 or 2, 3) [m]: where each guy is anchored; ``load`` (3,) [N]:
    the sum of all else that pulls on the head. In the plane, with RP the angle from the resultant to the
    pole and PG from the pole to the guy: guy = R·sin RP / sin PG, compression = R·sin(RP + PG) / sin PG.
    Raises ``NoSolutionError`` where a guy would have to push, where the pole would be lifted off its
    foot, and for the singular sets of ``leg_forces``. Source of the angles: Delaney, Physics for Roping
    Technicians, 2022, p. 109.
    """
    anchors = np.asarray(guys, dtype=np.float64).reshape(-1, 3)
    if len(anchors) not in (1, 2):
        raise ValueError(
            f"a pole with one or two guys can be solved by statics alone, not with {len(anchors)}"
        )
    members = leg_forces(np.vstack([np.asarray(foot, dtype=np.float64), anchors]), head, load)
    # A guy that rounding makes push by a hair is slack, not wrong.
    hair = 1e-9 * float(np.abs(np.asarray(load)).max())
    members = np.where(np.abs(members) <= hair, 0.0, members)
    for k, force in enumerate(members[1:]):
        if force > 0:
            raise NoSolutionError(
                f"guy {k + 1} would have to push with {force:.4g} N: the load pulls the pole towards it"
            )
    if members[0] < 0:
        raise NoSolutionError(f"the pole would be lifted off its foot by {-members[0]:.4g} N")
    return GinPole(float(members[0]), np.abs(members[1:]))


def tripod_leg(load: float, spread: float) -> float:
    """Compression [N] of each leg of a symmetric tripod under a vertical load: R/(3·cos γ).

    ``load`` R [N] ≥ 0; ``spread`` γ [rad], 0 to below π/2: each leg's angle from the vertical.
    """
    return _symmetric(load, spread, 3)


def bipod_leg(load: float, spread: float) -> float:
    """Compression [N] of each leg of a symmetric bipod, the load down its middle: R/(2·cos γ)."""
    return _symmetric(load, spread, 2)


def guy_tension(side_pull: float, slope: float) -> float:
    """Tension [N] of a guy that alone takes a horizontal pull: H/cos β.

    ``side_pull`` H [N] ≥ 0; ``slope`` β [rad] of the guy from the ground, 0 to below π/2.
    """
    return _symmetric(side_pull, slope, 1)


def _symmetric(load: float, angle: float, legs: int) -> float:
    if not 0.0 <= angle < 0.5 * math.pi:
        raise ValueError(f"the angle must be 0 to below π/2, not {angle!r}")
    if not (load >= 0 and math.isfinite(load)):
        raise ValueError(f"the load must be zero or more newtons, not {load!r}")
    return load / (legs * math.cos(angle))
