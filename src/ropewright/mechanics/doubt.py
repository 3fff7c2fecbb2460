"""What the inputs' ranges make of the answers: all samples solved at once, percentiles, and which input
matters.

Inputs are drawn from triangular densities on [low, high] with the mode at the central figure, independent
of each other, from a seeded generator, so the same rig gives the same answer (docs/theory/doubt.md).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .model import Array
from .motion import Motion
from .moving import Friction, Moving, in_any, solve_moving

SAMPLES = 2000
CHUNK = 4096
"""Samples solved together: their arrays fit the processor's cache."""


def draw(
    low: Sequence[float], likely: Sequence[float], high: Sequence[float], samples: int, seed: int = 20_26
) -> Array:
    """Triangular samples (K, N) of K inputs; an input with low = high gives that one figure.

    low ≤ likely ≤ high.
    """
    rng = np.random.default_rng(seed)
    a, c, b = (np.asarray(v, dtype=np.float64)[:, None] for v in (low, likely, high))
    u = rng.random((len(a), samples))
    width = np.where(b > a, b - a, 1.0)
    corner = (c - a) / width
    rising = a + np.sqrt(u * width * (c - a))
    falling = b - np.sqrt((1 - u) * width * (b - c))
    return np.where(b > a, np.where(u < corner, rising, falling), c)


def solve_samples(motion: Motion, friction: Friction, mass: Array, tolerance: float = 1e-6) -> Moving:
    """The moving rig for N samples of friction (C, N) and mass (n, N), from the central answer.

    Samples that do not come within ``tolerance`` of the weight are solved again one by one; ``residual``
    tells what is left.
    """
    real = motion.real
    samples = friction.fixed.shape[1]
    position = np.empty((3, len(motion.system.position), samples))
    tension = np.empty((len(motion.system.strands), samples))
    hand, residual = np.empty(samples), np.empty(samples)
    height = float(real.position[2, motion.system.load, 0])
    start, pull = real.position[:, :, 0].T, float(real.hand[0])
    steady = _steadiest(motion)
    for begin in range(0, samples, CHUNK):
        some = slice(begin, min(samples, begin + CHUNK))
        got = solve_moving(
            motion.system,
            motion.stance,
            Friction(friction.fixed[:, some], friction.per_radian[:, some]),
            height,
            start,
            pull,
            mass[:, some],
            tolerance,
            reference=steady,
        )
        position[:, :, some], tension[:, some] = got.position, got.tension
        hand[some], residual[some] = got.hand, got.residual
    for k in np.flatnonzero(residual > tolerance * motion.system.moved_weight):
        one = solve_moving(
            motion.system,
            motion.stance,
            Friction(friction.fixed[:, k : k + 1], friction.per_radian[:, k : k + 1]),
            height,
            start,
            pull,
            mass[:, k : k + 1],
            tolerance,
        )
        position[:, :, k], tension[:, k] = one.position[:, :, 0], one.tension[:, 0]
        hand[k], residual[k] = one.hand[0], one.residual[0]
    return Moving(position, tension, hand, residual)


def _steadiest(motion: Motion) -> int:
    """The strand of the hand's rope with the greatest tension: it carries load and varies less than the
    hand's.
    """
    ropes = [b for b, kind in enumerate(motion.blocks.kind) if kind == "hand"]
    ids = np.flatnonzero(in_any(motion.blocks.member, ropes))
    return int(ids[int(np.argmax(motion.real.tension[ids, 0]))])


def importance(inputs: Array, outcome: Array) -> Array:
    """Share of the outcome's variance (K,) that each of the inputs (K, N) explains, by linear regression on
    ranks.

    Shares are between 0 and 1; inputs or outcomes that do not vary have share 0.
    """
    varies = np.ptp(inputs, axis=1) > 0
    out = np.zeros(len(inputs))
    if not varies.any() or np.ptp(outcome) <= 1e-12 * max(1.0, float(np.abs(outcome).max())):
        return out
    ranks = np.argsort(np.argsort(inputs[varies], axis=1), axis=1).astype(np.float64)
    target = np.argsort(np.argsort(outcome)).astype(np.float64)
    ranks = (ranks - ranks.mean(axis=1, keepdims=True)) / ranks.std(axis=1, keepdims=True)
    target = (target - target.mean()) / target.std()
    weights, *_ = np.linalg.lstsq(ranks.T, target, rcond=None)
    out[varies] = weights**2
    return out
