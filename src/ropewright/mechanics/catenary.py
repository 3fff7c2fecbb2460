"""A rope under its own weight between two points: the elastic catenary.

The rope hangs in the vertical plane of its ends, weighs ``w`` a metre of unstretched length and stretches
by T/EA. With W = w·L, H the horizontal tension, V the vertical tension at half its laid length, Tₐ and T_b
the tensions at its ends and S = Tₐ + T_b, the ends are apart by

    x = H·L·(1/EA + 2·atanh(W/S)/W)        z = V·L·(1/EA + 2/S)

which is Irvine's pair of equations (Cable Structures, 1981, chapter 1) written so that nothing cancels: for
W → 0 both become the straight elastic strand. They are the gradient of the rope's complementary energy,
convex in (H, V), so there is one answer and a damped Newton walk finds it from any start
(docs/theory/catenary.md).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .errors import NoSolutionError
from .model import Array

STEPS = 200
"""Newton steps allowed; a usual rope takes under ten."""

CLOSE = 1e-9
"""Gap left at the rope's end, as a share of its size, that counts as closed; usual is 1e-15.

A gap across a nearly plumb rope is weighed by how little there is to cross.
"""

PLUMB = 1e-12
"""Horizontal distance, as a share of the rope's size, below which the rope is hung as a vertical one."""


@dataclass(frozen=True)
class Hanging:
    """A rope as it hangs, seen from its start.

    ``force_on_start``, ``force_on_end`` (3,) [N]: the force that the rope exerts on the point at that end;
    together they are the rope's weight. ``tension_start``, ``tension_end`` [N] ≥ 0. ``tangent_start``,
    ``tangent_end`` (3,): unit directions of the rope there, both pointing from start to end along the rope.
    ``length`` [m] stretched. ``lowest`` (3,) [m]: its lowest point as an offset from the start. Frame: z
    up.
    """

    force_on_start: Array
    force_on_end: Array
    tension_start: float
    tension_end: float
    tangent_start: Array
    tangent_end: Array
    length: float
    lowest: Array
    curve: Curve

    def shape(self, n: int) -> Array:
        """``n`` ≥ 2 points along the rope (n, 3) [m] as offsets from its start, evenly spaced as laid.

        Raises ``ValueError`` for fewer than two points.
        """
        if n < 2:
            raise ValueError(f"a shape needs 2 points or more, not {n}")
        points = np.array([self.curve.at(s) for s in np.linspace(0.0, self.curve.laid, n)])
        return self.curve.in_space(points)


@dataclass(frozen=True, slots=True)
class Curve:
    """The solved curve in its own plane.

    ``horizontal`` H and ``middle`` V [N], ``laid`` L [m], ``stiffness`` EA [N], ``weight`` w [N/m], ``along``
    the horizontal unit direction (3,) from start to end.
    """

    horizontal: float
    middle: float
    laid: float
    stiffness: float
    weight: float
    along: tuple[float, float, float]

    @property
    def rise_start(self) -> float:
        """Vertical tension at the start [N], positive where the rope sets off upwards."""
        return self.middle - 0.5 * self.weight * self.laid

    def at(self, s: float) -> tuple[float, float]:
        """Place (x, z) [m] in the plane at unstretched distance ``s`` [m] from the start."""
        part = _Ends(self.horizontal, self.rise_start + 0.5 * self.weight * s, s * self.weight)
        return part.reach(s, self.stiffness)

    def in_space(self, plane: Array) -> Array:
        """Points (n, 2) of the plane as offsets (n, 3) in space."""
        out = plane[:, :1] * np.array(self.along)
        out[:, 2] = plane[:, 1]
        return np.asarray(out)


@dataclass(frozen=True, slots=True)
class _Ends:
    """A piece of rope by its horizontal tension, its vertical tension halfway and its weight [N]."""

    h: float
    v: float
    w: float

    def tensions(self) -> tuple[float, float, float, float]:
        """(V_a, V_b, T_a, T_b) [N]."""
        va, vb = self.v - 0.5 * self.w, self.v + 0.5 * self.w
        return va, vb, math.hypot(self.h, va), math.hypot(self.h, vb)

    def spread(self) -> float:
        """S − W [N] ≥ 0, without cancelling where the rope hangs as a narrow loop."""
        va, vb, ta, tb = self.tensions()
        first = self.h * self.h / (ta - va) if va < 0 else ta + va
        second = self.h * self.h / (tb + vb) if vb > 0 else tb - vb
        return first + second

    def lean(self) -> float:
        """2·atanh(W/S)/W [1/N], the limit 2/S for a light rope."""
        _, _, ta, tb = self.tensions()
        total = ta + tb
        if self.w < 1e-9 * total:
            return 2.0 / total
        return math.log1p(2.0 * self.w / self.spread()) / self.w

    def reach(self, laid: float, stiffness: float) -> tuple[float, float]:
        """Distance (x, z) [m] between the ends."""
        _, _, ta, tb = self.tensions()
        if ta + tb == 0.0:
            return 0.0, 0.0
        x = self.h * laid * (1.0 / stiffness + self.lean()) if self.h > 0 else 0.0
        return x, self.v * laid * (1.0 / stiffness + 2.0 / (ta + tb))

    def mean_tension(self) -> float:
        """Mean tension [N] along the laid length: V²/S + S/4 + H²·lean/2."""
        _, _, ta, tb = self.tensions()
        total = ta + tb
        if total == 0.0:
            return 0.0
        level = 0.5 * self.h * self.h * self.lean() if self.h > 0 else 0.0
        return self.v * self.v / total + 0.25 * total + level

    def slopes(self, laid: float, stiffness: float) -> tuple[float, float, float]:
        """(∂x/∂H, ∂x/∂V = ∂z/∂H, ∂z/∂V) [m/N], a positive definite matrix for H > 0."""
        va, vb, ta, tb = self.tensions()
        total = ta + tb
        squeeze = 2.0 / (self.spread() * (total + self.w))
        by_h = self.h * (1.0 / ta + 1.0 / tb)
        by_v = va / ta + vb / tb
        xx = laid * (1.0 / stiffness + self.lean()) - self.h * laid * squeeze * by_h
        xz = -2.0 * self.v * laid / (total * total) * by_h
        zz = laid * (1.0 / stiffness + 2.0 / total) - 2.0 * self.v * laid / (total * total) * by_v
        return xx, xz, zz


def hang(chord: Array, laid: float, stiffness: float, weight_per_metre: float) -> Hanging:
    """How a rope hangs between two points.

    ``chord`` (3,) [m]: from its start to its end, z up; ``laid`` [m] > 0: unstretched length; ``stiffness``
    [N] > 0: EA; ``weight_per_metre`` [N/m] ≥ 0 of unstretched rope. Exact for slack, taut and vertical
    ropes and for both ends at one point (the rope then hangs as a doubled loop). A weightless slack rope
    carries nothing and is drawn in the shape that any uniform weight would give it. The rope is perfectly
    flexible and Hooke's law holds at all strains. Raises ``ValueError`` for figures out of range,
    ``NoSolutionError`` if the walk does not close. Source: Irvine, Cable Structures, 1981, chapter 1.
    """
    reach = _checked(chord, laid, stiffness, weight_per_metre)
    across = math.hypot(reach[0], reach[1])
    along = (reach[0] / across, reach[1] / across, 0.0) if across > 0 else (1.0, 0.0, 0.0)
    size = max(laid, across, abs(reach[2]))
    slack = math.hypot(across, reach[2]) <= laid
    weightless = weight_per_metre * laid <= 1e-14 * stiffness and slack
    # The shape of a slack rope does not depend on its weight, so one that has none is drawn with another's.
    weight = 1e-6 * stiffness / laid if weightless else weight_per_metre
    if across <= PLUMB * size:
        h, v = 0.0, _plumb(reach[2], laid, stiffness, weight)
    else:
        h, v = _walk(across, reach[2], laid, stiffness, weight)
    curve = Curve(h, v, laid, stiffness, weight, along)
    return _described(curve, weight_per_metre / weight if weightless else 1.0)


def _checked(chord: Array, laid: float, stiffness: float, weight: float) -> tuple[float, float, float]:
    reach = np.asarray(chord, dtype=np.float64)
    if reach.shape != (3,) or not np.isfinite(reach).all():
        raise ValueError(f"a chord is three finite numbers [m], not {chord!r}")
    if not (laid > 0 and math.isfinite(laid)):
        raise ValueError(f"a laid length is a positive number of metres, not {laid!r}")
    if not (stiffness > 0 and math.isfinite(stiffness)):
        raise ValueError(f"a stiffness is a positive number of newtons, not {stiffness!r}")
    if not (weight >= 0 and math.isfinite(weight)):
        raise ValueError(f"a rope's weight is zero or more newtons a metre, not {weight!r}")
    return float(reach[0]), float(reach[1]), float(reach[2])


def _plumb(rise: float, laid: float, stiffness: float, weight: float) -> float:
    """Vertical tension halfway [N] of a rope whose ends are plumb above each other by ``rise`` [m]."""
    bar = stiffness * (abs(rise) / laid - 1.0)  # taut all along: z = L + V·L/EA
    if bar >= 0.5 * weight * laid:
        return math.copysign(bar, rise)
    return rise / (laid / stiffness + 2.0 / weight)  # with a loop at the bottom: S = W


def _guess(x: float, z: float, laid: float, stiffness: float, weight: float) -> tuple[float, float]:
    """A start for the walk: the inextensible catenary where slack, the straight strand where taut."""
    far = math.hypot(x, z)
    total = weight * laid
    if far < 0.999999 * laid:
        ratio = math.sqrt(laid * laid - z * z) / x  # sinh(λ)/λ
        angle = (
            math.sqrt(6.0 * (ratio - 1.0)) if ratio < 3.0 else math.log(2.0 * ratio * math.log(2.0 * ratio))
        )
        return 0.5 * weight * x / angle, 0.5 * weight * z / math.tanh(min(angle, 300.0))
    # Stretch and sag share the length: T·L/EA + L − W²x²/(24 T² far) = far, bounded by either part alone.
    taut = max(stiffness * (far / laid - 1.0), 0.0)
    bowed = (stiffness * total * total / 24.0) ** (1.0 / 3.0) * (x / far) ** (2.0 / 3.0)
    pull = taut + bowed + 1e-12 * stiffness
    return pull * x / far, pull * z / far


def _walk(x: float, z: float, laid: float, stiffness: float, weight: float) -> tuple[float, float]:
    """(H, V) [N] that close the rope on an end ``x`` > 0 across and ``z`` up: damped Newton steps."""
    h, v = _guess(x, z, laid, stiffness, weight)
    total, size = weight * laid, max(laid, x, abs(z))
    best, kept = math.inf, (h, v)
    for _ in range(STEPS):
        ends = _Ends(h, v, total)
        at = ends.reach(laid, stiffness)
        gap = (x - at[0], z - at[1])
        miss = max(abs(gap[0]) * size / min(size, max(x, 1e-6 * size)), abs(gap[1]))
        if miss < best:
            best, kept = miss, (h, v)
        elif best <= 1e-3 * CLOSE * size:
            break  # only rounding is left
        xx, xz, zz = ends.slopes(laid, stiffness)
        det = xx * zz - xz * xz
        if not det > 0:
            break
        dh, dv = (zz * gap[0] - xz * gap[1]) / det, (xx * gap[1] - xz * gap[0]) / det
        share = 1.0 if h + dh > 0.05 * h else 0.95 * h / -dh
        downhill = gap[0] * dh + gap[1] * dv
        while share > 1e-12:  # halve while the step has run well past the bottom of the energy
            there = _Ends(h + share * dh, v + share * dv, total).reach(laid, stiffness)
            if (there[0] - x) * dh + (there[1] - z) * dv <= 0.5 * downhill or best <= 1e-9 * size:
                break
            share *= 0.5
        h, v = h + share * dh, v + share * dv
    if not best <= CLOSE * size:
        raise NoSolutionError(
            f"a rope of {laid:.6g} m does not close on an end {x:.6g} m across, {z:.6g} m up:"
            f" {best:.3g} m left"
        )
    return kept


def _described(curve: Curve, share: float) -> Hanging:
    """Forces, tangents and low point of a solved curve; ``share`` scales the forces."""
    ends = _Ends(curve.horizontal, curve.middle, curve.weight * curve.laid)
    va, vb, ta, tb = ends.tensions()
    along, up = np.array(curve.along), np.array([0.0, 0.0, 1.0])
    start, end = curve.horizontal * along + va * up, curve.horizontal * along + vb * up
    bottom = (
        min(max(-va / curve.weight, 0.0), curve.laid) if curve.weight > 0 else (0.0 if va > 0 else curve.laid)
    )
    return Hanging(
        force_on_start=share * start,
        force_on_end=-share * end,
        tension_start=share * ta,
        tension_end=share * tb,
        tangent_start=start / ta if ta > 0 else up,
        tangent_end=end / tb if tb > 0 else -up,
        length=curve.laid * (1.0 + share * ends.mean_tension() / curve.stiffness),
        lowest=curve.in_space(np.array([curve.at(bottom)]))[0],
        curve=curve,
    )


def laid_for_tension(
    chord: Array, tension_at_start: float, stiffness: float, weight_per_metre: float
) -> float:
    """Unstretched length [m] at which a rope pulls its start with the tension asked for.

    The inverse of ``hang``.

    ``chord`` (3,) [m], ``tension_at_start`` [N] > 0, ``stiffness`` [N], ``weight_per_metre`` [N/m]. A heavy
    rope has two such lengths, a taut one and one so long that its own weight pulls as hard; the taut one is
    given (with both ends at one point there is only the long one). Raises ``NoSolutionError`` where no length
    gives so small a tension, naming the least that there is; ``ValueError`` for figures out of range.
    """
    reach = np.asarray(chord, dtype=np.float64)
    if not (tension_at_start > 0 and math.isfinite(tension_at_start)):
        raise ValueError(f"a tension is a positive number of newtons, not {tension_at_start!r}")
    far = math.sqrt(sum(c * c for c in _checked(reach, 1.0, stiffness, weight_per_metre)))
    w = weight_per_metre
    if far == 0.0:
        if w == 0.0:
            raise NoSolutionError("a weightless rope with both ends at one point pulls nothing at any length")
        return 2.0 * tension_at_start / w
    if w == 0.0:
        return far / (1.0 + tension_at_start / stiffness)

    def over(laid: float) -> float:
        return hang(reach, laid, stiffness, w).tension_start - tension_at_start

    # Tension changes by at most w a metre, so below this length the stretch could not reach: L·(1 + (T +
    # w·L)/EA) = far.
    half = 0.5 * (1.0 + tension_at_start / stiffness)
    low = far / (half + math.sqrt(half * half + w * far / stiffness))
    return _crossing(over, low, _under(over, low, far, tension_at_start))


def _under(over: Callable[[float], float], low: float, far: float, asked: float) -> float:
    """A length at which the tension is no more than asked, by golden section on the tension's only dip."""
    high = 2.0 * max(low, far)
    while over(2.0 * high) < over(high):
        high *= 2.0
    high *= 2.0
    golden = 0.5 * (math.sqrt(5.0) - 1.0)
    a, b = low, high
    c, d = b - golden * (b - a), a + golden * (b - a)
    at_c, at_d = over(c), over(d)
    while b - a > 1e-9 * far:
        if at_c <= 0:
            return c
        if at_d <= 0:
            return d
        if at_c < at_d:
            b, d, at_d = d, c, at_c
            c = b - golden * (b - a)
            at_c = over(c)
        else:
            a, c, at_c = c, d, at_d
            d = a + golden * (b - a)
            at_d = over(d)
    least = asked + min(at_c, at_d)
    raise NoSolutionError(
        f"no length gives a tension of {asked:.4g} N at the start:"
        f" its own weight pulls {least:.4g} N at least"
    )


def _crossing(over: Callable[[float], float], low: float, high: float) -> float:
    """Where a falling function crosses zero between ``low`` and ``high``: regula falsi, Illinois form."""
    at_low, at_high = over(low), over(high)
    if at_low <= 0.0:
        return low
    for _ in range(200):
        if at_high == 0.0 or high - low <= 1e-15 * high:
            break
        mid = high - at_high * (high - low) / (at_high - at_low)
        if not low < mid < high:
            mid = 0.5 * (low + high)
        value = over(mid)
        if (value > 0) == (at_high > 0):
            at_low *= 0.5
        else:
            low, at_low = high, at_high
        high, at_high = mid, value
        if low > high:
            low, high, at_low, at_high = high, low, at_high, at_low
    return 0.5 * (low + high) if high - low <= 1e-12 * high else (high if abs(at_high) < abs(at_low) else low)
