"""Plane geometry on the page: points are complex numbers, x to the right and y down, in page units.

A rope that turns clockwise as seen on the page has sense +1: the centre of what it turns round lies on the
right of its way, which is its direction times 1j.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Box", "around", "cross", "crossings", "dot", "from_line", "hits", "swept", "tangent", "unit"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def centre(self) -> complex:
        return complex((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    def grown(self, by: float) -> Box:
        """The rectangle with a margin all round."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: Box) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def joined(self, other: Box) -> Box:
        """The smallest rectangle round both."""
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )


def around(points: Iterable[complex], margin: float = 0.0) -> Box:
    """The smallest upright rectangle round some points."""
    found = list(points)
    return Box(
        min(p.real for p in found) - margin,
        min(p.imag for p in found) - margin,
        max(p.real for p in found) + margin,
        max(p.imag for p in found) + margin,
    )


def unit(vector: complex, otherwise: complex = 1j) -> complex:
    """The direction of a vector; `otherwise` where it has none."""
    length = abs(vector)
    return vector / length if length > 1e-9 else otherwise


def cross(a: complex, b: complex) -> float:
    """Positive where b lies clockwise of a on the page."""
    return a.real * b.imag - a.imag * b.real


def from_line(point: complex, start: complex, end: complex) -> float:
    """How far a point is from a line between two others."""
    run = end - start
    share = dot(point - start, run) / max(dot(run, run), 1e-9)
    return abs(point - start - run * min(max(share, 0.0), 1.0))


def dot(a: complex, b: complex) -> float:
    """The scalar product."""
    return a.real * b.real + a.imag * b.imag


def tangent(
    start: complex, r_start: float, sense_start: int, end: complex, r_end: float, sense_end: int
) -> tuple[complex, complex]:
    """Where a rope leaves one circle and meets the next, each run in its own sense; a radius of 0 is a point.

    With p = c − s·r·j·u on both circles, the centres lie apart by u·(L + j·k), k = s₂r₂ − s₁r₁, which gives
    the direction u and the free length L. Where the circles are too near for that, the rope runs from
    centre to centre.
    """
    apart = end - start
    k = sense_end * r_end - sense_start * r_start
    free = abs(apart) ** 2 - k * k
    if free <= 1e-9:
        return start, end
    u = apart / complex(math.sqrt(free), k)
    u /= abs(u)
    return start - sense_start * r_start * 1j * u, end - sense_end * r_end * 1j * u


def swept(incoming: complex, outgoing: complex, sense: int) -> float:
    """The angle [rad], 0 to 2π, through which a rope turns in its sense from one direction to the next."""
    turn = cmath.phase(outgoing / incoming) * sense
    return turn % (2 * math.pi)


def crossings(starts: Array, ends: Array) -> int:
    """How many pairs of segments (complex arrays) cross in their insides."""
    if len(starts) < 2:
        return 0
    a, b = starts[:, None], ends[:, None]
    c, d = starts[None, :], ends[None, :]

    def side(p: Array, q: Array, r: Array) -> Array:
        v, w = q - p, r - p
        return np.asarray(v.real * w.imag - v.imag * w.real)

    across = side(a, b, c) * side(a, b, d) < -1e-6
    across &= side(c, d, a) * side(c, d, b) < -1e-6
    return int(across.sum()) // 2


def hits(boxes: Array, lines: Array) -> NDArray[np.bool_]:
    """Whether boxes (n, 4: left, top, right, bottom) meet lines (m, 5: x, y, x, y, half width); (n, m)."""
    half = lines[None, :, 4]
    x, y = lines[None, :, 0], lines[None, :, 1]
    dx, dy = lines[None, :, 2] - x, lines[None, :, 3] - y
    dx = np.where(np.abs(dx) < 1e-9, 1e-9, dx)
    dy = np.where(np.abs(dy) < 1e-9, 1e-9, dy)
    x1, x2 = (boxes[:, 0:1] - half - x) / dx, (boxes[:, 2:3] + half - x) / dx
    y1, y2 = (boxes[:, 1:2] - half - y) / dy, (boxes[:, 3:4] + half - y) / dy
    enter = np.maximum(np.minimum(x1, x2), np.minimum(y1, y2))
    leave = np.minimum(np.maximum(x1, x2), np.maximum(y1, y2))
    return np.asarray((enter < leave) & (leave > 0) & (enter < 1))
