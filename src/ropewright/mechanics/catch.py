"""Catching a fall: the peak force of a rope that stretches, and the travel of one that is let slip.

All figures take the rope as a linear spring without damping. Falls of heavy loads at high fall factors have
been measured up to 30 % above that (Weber, International Technical Rescue Symposium 2002, abstract), and
Leuthäusser (Journal of Sports Engineering and Technology, 2016) finds that an undamped linear spring is not
adequate for how a rope takes up a fall. So a peak from here is the lower part of what may be met: give the
stiffness as a range, taken from drop tests of such ropes and not from slow pulls.
"""

from __future__ import annotations

import math

import numpy as np

from .model import Array

SHORTFALL = 0.30
"""How far a measured peak may lie above the computed one, as a share of the measured (Weber 2002,
abstract)."""


def _positive(**figures: float | Array) -> None:
    for name, value in figures.items():
        if not (np.isfinite(value).all() and (np.asarray(value) > 0).all()):
            raise ValueError(f"{name.replace('_', ' ')} must be a positive number, not {value!r}")


def _not_negative(**figures: float | Array) -> None:
    for name, value in figures.items():
        if not (np.isfinite(value).all() and (np.asarray(value) >= 0).all()):
            raise ValueError(f"{name.replace('_', ' ')} must be zero or more, not {value!r}")


def peak_force(weight: float | Array, stiffness: float | Array, fall_factor: float | Array) -> Array:
    """Greatest tension [N] in a rope that stops a fall: F = W + √(W² + 2·W·EA·f).

    ``weight`` W [N] > 0 of what falls; ``stiffness`` EA [N] > 0 under fast loading; ``fall_factor`` f ≥ 0:
    free fall over the rope that stops it, both [m]. All broadcast. A load let go on a rope just tight (f =
    0) is caught at 2·W. Energy of the fall and of the stretch itself: W·(f·L + δ) = EA·δ²/(2·L), F =
    EA·δ/L. Measured peaks may be up to 30 % higher at high mass and factor (module docstring). Raises
    ``ValueError`` for figures out of range.
    """
    _positive(weight=weight, stiffness=stiffness)
    _not_negative(fall_factor=fall_factor)
    w = np.asarray(weight, dtype=np.float64)
    return np.asarray(w + np.sqrt(w * w + 2.0 * w * np.asarray(stiffness) * np.asarray(fall_factor)))


def spring_peak(weight: float, stiffness: float, fall: float) -> tuple[float, float]:
    """Greatest force [N] and lowest point [m] below the start of a load that falls freely onto a spring.

    ``weight`` W [N] > 0; ``stiffness`` k [N/m] > 0 of everything that then holds it; ``fall`` h [m] ≥ 0
    before it pulls. F = W·(1 + √(1 + 2·k·h/W)), lowest at h + F/k: ``peak_force`` with k = EA/L. Validity
    as there.
    """
    _positive(weight=weight, stiffness=stiffness)
    _not_negative(fall=fall)
    peak = weight * (1.0 + math.sqrt(1.0 + 2.0 * stiffness * fall / weight))
    return peak, fall + peak / stiffness


def stiffness_from_peak(weight: float | Array, peak: float | Array, fall_factor: float | Array) -> Array:
    """Stiffness EA [N] under fast loading that a measured peak stands for: EA = F·(F − 2·W)/(2·W·f).

    ``weight`` [N], ``peak`` F [N] > 2·W, ``fall_factor`` > 0. The inverse of ``peak_force``. Knots, the
    body that falls and the rope's damping are all in the answer, so it belongs to that test only. Raises
    ``ValueError`` out of range.
    """
    _positive(weight=weight, peak=peak, fall_factor=fall_factor)
    w, f = np.asarray(weight, dtype=np.float64), np.asarray(peak, dtype=np.float64)
    if (f <= 2.0 * w).any():
        raise ValueError(f"a peak of {peak!r} N is not above twice the weight, {weight!r} N: nothing fell")
    return np.asarray(f * (f - 2.0 * w) / (2.0 * w * np.asarray(fall_factor)))


def stretch(
    weight: float | Array, stiffness: float | Array, fall: float | Array, rope: float | Array
) -> Array:
    """Length [m] by which the rope is stretched at the bottom of the fall: δ = F·L/EA.

    ``fall`` [m] ≥ 0 of free fall, ``rope`` L [m] > 0 that takes it; ``weight`` [N], ``stiffness`` [N] as in
    ``peak_force``.
    """
    _positive(rope=rope)
    length = np.asarray(rope, dtype=np.float64)
    return np.asarray(
        peak_force(weight, stiffness, np.asarray(fall) / length) * length / np.asarray(stiffness)
    )


def slip_travel(weight: float, drop: float, holding: float) -> float:
    """Travel [m] in which a grip that slips at a constant force stops a fall: s = W·h/(F − W).

    ``weight`` W [N] > 0, ``drop`` h [m] ≥ 0 of free fall before the grip takes, ``holding`` F [N] the slip
    force. From F·s = W·(h + s), the rope's stretch left out, so that the true travel is a little shorter.
    Infinite when the grip slips at no more than the weight: the load is never stopped. Raises
    ``ValueError`` for figures out of range.
    """
    _positive(weight=weight, holding=holding)
    _not_negative(drop=drop)
    return math.inf if holding <= weight else weight * drop / (holding - weight)


def slip_catch(
    weight: float, stiffness: float, fall: float, rope: float, slips: float
) -> tuple[float, float]:
    """Peak tension [N] and slipped length [m] of a fall onto a rope whose grip slides at ``slips`` [N].

    The rope stretches until its tension is the slip force, then slides at that force; ``fall`` [m],
    ``rope`` [m] > 0, ``weight`` and ``stiffness`` [N]. Energy: W·(h + δ + s) = F·δ/2 + F·s, with δ =
    F·L/EA. Nothing slides where the rope alone peaks below the slip force. The slipped length is infinite
    when ``slips`` is no more than the weight.
    """
    _positive(weight=weight, stiffness=stiffness, rope=rope, slips=slips)
    alone = float(peak_force(weight, stiffness, fall / rope))
    if alone <= slips:
        return alone, 0.0
    if slips <= weight:
        return slips, math.inf
    taken = slips * rope / stiffness
    return slips, (weight * (fall + taken) - 0.5 * slips * taken) / (slips - weight)


def redirect_force(tension: float, ratio: float = 1.0, angle: float = 0.0) -> float:
    """Force [N] on the point that turns a rope: T·√(1 + r² + 2·r·cos α).

    ``tension`` T [N] ≥ 0 on the loaded side; ``ratio`` r ≥ 0: tension on the other side as a share of it
    (about 0.6 over a carabiner in a fall, Moyer, Tusting and Harmston, Comparative Testing of High Strength
    Cord, 2000, finds 1.6 to 1.7 · T on the point); ``angle`` α [rad], 0 to π, between the two strands, 0
    where the rope turns back on itself.
    """
    _not_negative(tension=tension, ratio=ratio)
    if not 0.0 <= angle <= math.pi:
        raise ValueError(f"the angle between two strands is 0 to π, not {angle!r}")
    return tension * math.sqrt(max(0.0, 1.0 + ratio * ratio + 2.0 * ratio * math.cos(angle)))
