"""Hauling and lowering: which contacts pass and which hold, forces with and without friction, the motion.

The way: bring the rig to rest with the hands holding, let the hands take in rope until the load stands at
its height, read from that least-energy state which one-way contacts have passed rope; then solve with
friction in the sense of the slip, and repeat until no contact asks to do otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .model import Array, System
from .moving import Blocks, Friction, Moving, Stance, blocks, friction_of, solve_moving
from .raising import at_height, hand_strands, tended
from .rates import Rates, rates
from .settle import Rest
from .stuck import (
    STILL,
    StuckError,
    instead,
    it_can_move,
    nothing_comes_tight,
    nothing_falls,
    nothing_has_met,
    nothing_is_loose,
    undecided,
)

PASSED = 1e-6
"""Rope [m] from which a one-way contact counts as having let rope through."""


@dataclass(frozen=True)
class Motion:
    """A rig while its load rises (``direction`` +1) or sinks (−1), at the drawn height of the load.

    ``real`` and ``frictionless``: forces with and without friction, one sample; ``rates``: the motion per
    metre; ``stance`` and ``blocks``: what passes and what holds; ``system``: the rig with devices opened as
    they are for this motion.
    """

    direction: int
    system: System
    stance: Stance
    blocks: Blocks
    frictionless: Moving
    real: Moving
    rates: Rates
    real_rates: Rates

    @property
    def hands(self) -> int:
        """How many hands move rope."""
        return sum(kind == "hand" for kind in self.blocks.kind)

    @property
    def hand_travel(self) -> float:
        """Rope taken in (+) or paid out (−) by one hand per metre of load travel, the largest where hands
        differ.
        """
        moved = self.rates.hand
        return float(moved[int(np.argmax(np.abs(moved)))])


def _first_stance(system: System, rest: Rest) -> Stance:
    """What the least-energy state says of every contact: one-way contacts that let rope through pass, the
    others hold.
    """
    keeps = tuple(
        bool(contact.end or (contact.holds != "none" and rest.passed[c] < PASSED))
        for c, contact in enumerate(system.contacts)
    )
    return Stance(keeps, tuple(0 for _ in keeps))


def _slip(stance: Stance, flow: Array) -> Stance:
    signs = [
        0 if h or abs(f) < STILL else (1 if f > 0 else -1) for h, f in zip(stance.held, flow, strict=True)
    ]
    return Stance(stance.held, tuple(signs))


def _restance(system: System, stance: Stance, flow: Array, tension: Array) -> Stance:
    """Turn every one-way contact that passes rope the way it stops it into a hold, and free one that asks
    to pass.
    """
    keeps = list(stance.held)
    first = system.strand_at
    scale = 1e-6 * system.moved_weight
    for c, contact in enumerate(system.contacts):
        if contact.holds in ("none", "both") or contact.end or c not in first or c - 1 not in first:
            continue
        sense = 1 if contact.holds == "backward" else -1
        if not keeps[c] and sense * flow[c] < -STILL:
            keeps[c] = True
        elif keeps[c]:
            after, before = float(tension[first[c]]), float(tension[first[c - 1]])
            drag = contact.forward if sense > 0 else contact.backward
            pull, drawn = (after, before) if sense > 0 else (before, after)
            if pull > drawn * np.exp(drag.fixed + np.pi * drag.per_radian) + contact.slides + scale:
                keeps[c] = False
    return Stance(tuple(keeps), tuple(0 for _ in keeps))


def move(system: System, direction: int, further: float = 0.0) -> Motion:
    """Solve the rig while its load rises (+1) or sinks (−1), ``further`` [m] ≥ 0 on its way as drawn.

    Raises ``StuckError`` with its kind, point and contact where the motion cannot be.
    """
    working = replace(system, ropes=tuple(tended(rope, direction) for rope in system.ropes))
    hands = hand_strands(working)
    if not hands:
        raise StuckError("no-hand", "no hand pulls a rope", system.load)
    nothing_falls(working)
    height = float(system.position[system.load, 2]) + direction * further
    current, rest = at_height(working, hands, height)
    nothing_has_met(working, rest)
    stance = _first_stance(current, rest)
    nothing_is_loose(current, stance, rest, direction)
    hand = max(1e-3 * system.moved_weight, float(rest.tension[hands].max()))
    position, seen = rest.position, set()
    state = current
    freed = -1
    for _ in range(12):
        grouped = blocks(state, stance)
        try:
            smooth = _solved(state, stance, friction_of(state, stance, 0.0), height, position, hand)
        except StuckError as error:
            raise instead(system, freed, error) from error
        motion = rates(state, grouped, smooth.position[:, :, 0].T, smooth.tension[:, 0], direction)
        it_can_move(state, motion, smooth, rest)
        nothing_comes_tight(state, grouped, smooth, motion)
        reached = _slipped(state, _slip(stance, motion.flow), grouped, height, smooth, direction)
        nxt = _restance(state, reached.stance, reached.rates.flow, reached.real.tension[:, 0])
        if nxt.held == stance.held:
            if reached.share < 1.0:
                text = (
                    f"no equilibrium beyond {reached.share:.0%} of the friction: the rig locks or turns over"
                )
                raise StuckError("unsolved", text, system.load)
            return Motion(
                direction, state, reached.stance, grouped, smooth, reached.real, motion, reached.rates
            )
        if nxt.held in seen:
            raise undecided(system, stance, nxt)
        seen.add(nxt.held)
        freed = next((c for c, h in enumerate(nxt.held) if stance.held[c] and not h), -1)
        stance, position, hand = nxt, smooth.position[:, :, 0].T, float(smooth.hand[0])
    raise StuckError("unsolved", "no choice of holding contacts settles", system.load)


@dataclass(frozen=True)
class _Reached:
    """The state with friction, or with as large a ``share`` of it as leaves an equilibrium."""

    stance: Stance
    real: Moving
    rates: Rates
    share: float


def _slipped(
    system: System, stance: Stance, grouped: Blocks, height: float, smooth: Moving, direction: int
) -> _Reached:
    """Forces with friction, its sense taken from that very state's motion: repeated until the signs stay.

    Where full friction has no equilibrium it is let in bit by bit, as far as it goes.
    """
    good = _Reached(
        stance,
        smooth,
        rates(system, grouped, smooth.position[:, :, 0].T, smooth.tension[:, 0], direction),
        0.0,
    )
    share, step = 1.0, 1.0
    while True:
        try:
            good = _agreed(system, good, share, grouped, height, direction)
        except StuckError:
            step *= 0.5
            if step < 1 / 32:
                return good
            share = good.share + step
            continue
        if good.share >= 1.0:
            return good
        share = min(1.0, good.share + step)


def _agreed(
    system: System, near: _Reached, share: float, grouped: Blocks, height: float, direction: int
) -> _Reached:
    """The state with ``share`` of the friction whose slips are those of its own motion, from a state near
    it.
    """
    start, hand = near.real.position[:, :, 0].T, float(near.real.hand[0])
    stance, seen = near.stance, set()
    while stance.slip not in seen:
        seen.add(stance.slip)
        real = _solved(system, stance, friction_of(system, stance, share), height, start, hand)
        start, hand = real.position[:, :, 0].T, float(real.hand[0])
        motion = rates(system, grouped, start, real.tension[:, 0], direction)
        after = _slip(stance, motion.flow)
        if after.slip == stance.slip:
            return _Reached(stance, real, motion, share)
        stance = after
    raise StuckError(
        "unsolved", "friction turns the motion that it comes from: no sense of slip agrees", system.load
    )


def as_it_stands(system: System, motion: Motion) -> System:
    """The rig ``system`` at the moment of ``motion``, halted: positions, and strands as long as their tension
    leaves them.

    Devices are closed again and idle hands hold their rope with the slack that it was drawn with.
    """
    position = motion.real.position[:, :, 0].T
    tension = motion.real.tension[:, 0]
    length = np.linalg.norm(position[system.strands.end] - position[system.strands.start], axis=1)
    laid = length / (1.0 + tension / system.strands.stiffness)
    s = system.strands
    slack = s.laid - np.linalg.norm(system.position[s.end] - system.position[s.start], axis=1)
    for b, kind in enumerate(motion.blocks.kind):
        ids = np.flatnonzero(motion.blocks.member == b)
        if kind == "idle":
            laid[ids] = length[ids] + slack[ids]
        elif kind == "closed" and tension[ids].max() <= 0:
            longest = ids[int(np.argmax(length[ids]))]
            laid[longest] += max(0.0, motion.blocks.laid[b] - float(length[ids].sum()))
    return system.with_state(position, laid)


def _solved(
    system: System, stance: Stance, friction: Friction, height: float, start: Array, hand: float
) -> Moving:
    out = solve_moving(system, stance, friction, height, start, hand)
    worst = float(out.residual[0])
    if not worst <= 1e-7 * system.moved_weight:
        raise StuckError("unsolved", f"no equilibrium found: {worst:.3g} N left over", system.load)
    return out
