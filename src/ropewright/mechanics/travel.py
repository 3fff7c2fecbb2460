"""How far a rig can be moved before two things on a rope meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .model import Array
from .motion import Motion
from .moving import friction_of, solve_moving


@dataclass(frozen=True)
class Travel:
    """``reach`` [m] that the load travels until the strand ``meets`` is as short as it can be, or until
    the goal, when ``meets`` is −1; ``rope`` [m] taken in (+) or paid out (−) by one hand on the way;
    ``shortest`` (S,) [m] length of each strand there.
    """

    reach: float
    meets: int
    rope: float
    shortest: Array


def travel(motion: Motion, room: Array, goal: float) -> Travel:
    """Move the load by up to ``goal`` [m] > 0 in the motion's direction, from where it stands.

    ``room`` (S,) [m]: the least length of each strand, below which the things at its ends meet; strands
    that are already as short at the start and do not get shorter do not count. Friction is left out,
    contacts pass and hold as at the start.
    """
    system, stance = motion.system, motion.stance
    smooth = friction_of(system, stance, 0.0)
    start = motion.frictionless.position[:, :, 0].T
    height = float(start[system.load, 2])
    first = _lengths(motion, start)
    position, hand = start, float(motion.frictionless.hand[0])
    counted = system.strands.real.copy()
    at, step = 0.0, min(goal, max(0.02, 0.01 * goal))
    lengths = first
    for _ in range(60):
        target = min(goal, at + step)
        got = solve_moving(system, stance, smooth, height + motion.direction * target, position, hand)
        solved = float(got.residual[0]) <= 1e-6 * system.moved_weight
        now = _lengths(motion, got.position[:, :, 0].T)
        shorter = counted & (now < room) & (now < lengths - 1e-9)
        if not solved or (now[shorter] < room[shorter] - 2e-3).any():
            if step < 1e-3:
                break
            step *= 0.5
            continue
        rate = (now - lengths) / (target - at)
        position, hand, lengths, at = got.position[:, :, 0].T, float(got.hand[0]), now, target
        if shorter.any():
            break
        if at >= goal - 1e-9:
            return Travel(goal, -1, _rope(motion, first, lengths), lengths)
        closing = counted & (rate < -1e-6) & (now > room)
        left = ((now[closing] - room[closing]) / -rate[closing]).min(initial=goal)
        step = max(1e-3, min(left + 1e-3, goal - at))
    gap = np.where(counted & (lengths < first - 1e-9), lengths - room, np.inf)
    return Travel(at, int(np.argmin(gap)), _rope(motion, first, lengths), lengths)


def _lengths(motion: Motion, position: Array) -> Array:
    s = motion.system.strands
    return np.asarray(np.linalg.norm(position[s.end] - position[s.start], axis=1))


def _rope(motion: Motion, before: Array, after: Array) -> float:
    """Rope through one hand: the length that its block has lost."""
    lost = [
        float((before - after)[motion.blocks.member == b].sum())
        for b, kind in enumerate(motion.blocks.kind)
        if kind == "hand"
    ]
    return max(lost, key=abs, default=0.0)
