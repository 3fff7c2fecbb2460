"""How far a rig can be moved before two things on a rope meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .model import Array
from .motion import Motion
from .moving import Moving, friction_of, solve_moving
from .rates import rates
from .stuck import MET

LONGEST_STEP = 1.0
"""Travel [m] of the load in one step; the next state is foreseen from the motion and must be found near
it."""
STRAY = 0.5
"""Share of a step by which a solved point may lie off from where it was foreseen; beyond it the step is
halved."""
MOST_STEPS = 400
SINKS = 1e-6
"""Way down [m] in one step from which a point counts as sinking."""
ROUNDED = 2e-3
"""Length [m] to which it is found when things meet, or where they stand."""


@dataclass(frozen=True)
class Travel:
    """How far, and what stopped it.

    ``reach`` [m] that the load travels until the strand ``meets`` is as short as it can be, or until the
    goal, when ``meets`` is −1; ``rope`` [m] taken in (+) or paid out (−) by one hand on the way;
    ``shortest`` (S,) [m] length of each strand there; ``tight``: it was a slack rope, of the strand
    ``meets``, that came tight instead; ``stands``: the point that came down on its floor, −1 for none.
    """

    reach: float
    meets: int
    rope: float
    shortest: Array
    tight: bool = False
    stands: int = -1


def travel(motion: Motion, room: Array, goal: float, floors: Array | None = None) -> Travel:
    """Move the load by up to ``goal`` [m] > 0 in the motion's direction, from where it stands.

    ``room`` (S,) [m]: the least length of each strand, below which the things at its ends meet; strands
    that are already as short at the start and do not get shorter do not count. ``floors`` (n,) [m]: the
    height at which each point stands, and the motion as it was ends; −inf for none. Friction is left out,
    contacts pass and hold as at the start.
    """
    system, stance = motion.system, motion.stance
    room = np.maximum(room, MET)  # things meet, they don't pass through each other
    smooth = friction_of(system, stance, 0.0)
    start = motion.frictionless.position[:, :, 0].T
    height = float(start[system.load, 2])
    first = _lengths(motion, start)
    state = motion.frictionless
    at, step = 0.0, min(goal, LONGEST_STEP, max(0.02, 0.01 * goal))
    lengths, at_height = first, start[:, 2]
    floor = np.full(len(start), -np.inf) if floors is None else floors
    for _ in range(MOST_STEPS):
        target = min(goal, at + step)
        guess = _foreseen(motion, state, target - at)
        got = solve_moving(
            system, stance, smooth, height + motion.direction * target, guess, float(state.hand[0])
        )
        now = _lengths(motion, got.position[:, :, 0].T)
        shorter = system.strands.real & (now < room) & (now < lengths - 1e-9)
        strayed = np.abs(got.position[:, :, 0].T - guess).max() > STRAY * max(0.1, target - at)
        high = got.position[2, :, 0]
        sinks = high < at_height - SINKS
        under = bool((high[sinks] < floor[sinks] - ROUNDED).any())
        lost = strayed or not float(got.residual[0]) <= 1e-6 * system.moved_weight
        if lost or under or (now[shorter] < room[shorter] - ROUNDED).any():
            if step < 1e-3:
                break
            step *= 0.5
            continue
        rate, fall = (now - lengths) / (target - at), (at_height - high) / (target - at)
        state, lengths, at_height, at = got, now, high, target
        if shorter.any():
            break
        landed = np.flatnonzero(sinks & (high <= floor + SINKS))
        if len(landed):
            return Travel(at, -1, _rope(motion, first, lengths), lengths, stands=int(landed[0]))
        stopped = _come_tight(motion, now)
        if stopped >= 0:
            return Travel(at, stopped, _rope(motion, first, lengths), lengths, tight=True)
        if at >= goal - 1e-9:
            return Travel(goal, -1, _rope(motion, first, lengths), lengths)
        closing = system.strands.real & (rate < -1e-6) & (now > room)
        left = ((now[closing] - room[closing]) / -rate[closing]).min(initial=goal)
        to_floor = np.where(fall > 1e-6, (high - floor) / np.maximum(fall, 1e-6), np.inf).min(initial=goal)
        step = max(1e-3, min(left + 1e-3, float(to_floor), LONGEST_STEP, goal - at))
    gap = np.where(system.strands.real & (lengths < first - 1e-9), lengths - room, np.inf)
    return Travel(at, int(np.argmin(gap)), _rope(motion, first, lengths), lengths)


def _come_tight(motion: Motion, length: Array) -> int:
    """The first strand of a rope that was slack at the start and now carries load, −1 if none."""
    for b, kind in enumerate(motion.blocks.kind):
        ids = np.flatnonzero(motion.blocks.member == b)
        was = float(motion.frictionless.tension[ids, 0].max())
        if kind == "closed" and was <= 0 and length[ids].sum() > motion.blocks.laid[b]:
            return int(ids[0])
    return -1


def _foreseen(motion: Motion, state: Moving, step: float) -> Array:
    """Where the points (n, 3) will be after another ``step`` [m] of the load, from how they move now."""
    position = state.position[:, :, 0].T
    now = rates(motion.system, motion.blocks, position, state.tension[:, 0], motion.direction)
    return np.asarray(position + step * now.velocity)


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
