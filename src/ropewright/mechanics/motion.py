"""Hauling and lowering: which contacts pass and which hold, forces with and without friction, the motion.

The way: bring the rig to rest with the hands holding, let the hands take in rope until the load stands at
its height, read from that least-energy state which one-way contacts have passed rope; then solve with
friction in the sense of the slip, and repeat until no contact asks to do otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from .errors import NoSolutionError
from .model import SLACK, Array, Contact, Ints, Rope, System, chord
from .moving import Blocks, Friction, Moving, Stance, blocks, friction_of, solve_moving
from .rates import Rates, rates
from .reach import held
from .segments import cut
from .settle import Rest, settle

Trouble = Literal["no-hand", "falls", "stuck", "loose", "unsolved"]
STILL = 1e-6
"""Flow per metre of load travel below which a contact counts as not slipping."""
PASSED = 1e-6
"""Rope [m] from which a one-way contact counts as having let rope through."""
TIGHT = 1e-4
"""Slack [m] below which a rope without tension counts as just tight."""
MET = 0.01
"""Distance [m] at which two things on a rope have met."""
SOFT = 1e-5
"""Stiffness [1/m], as a share of the weight, below which a point counts as loose; a tight strand of 100 m
gives 1e-2."""


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


class StuckError(NoSolutionError):
    """The motion asked for cannot happen; ``kind`` says how, ``node`` the point and ``contact`` the
    contact that shows it.
    """

    def __init__(self, kind: Trouble, text: str, node: int = -1, contact: int = -1) -> None:
        super().__init__(text)
        self.kind, self.node, self.contact = kind, node, contact


def _tended(rope: Rope, direction: int) -> Rope:
    """A rope as it is in the motion: idle hands let it run, and lowering opens the devices made to be
    opened.
    """

    def turned(c: Contact) -> Contact:
        if rope.idle and c.end == "hand":
            return replace(c, end="tail")
        if direction < 0 and c.opens:
            return replace(c, holds="none")
        return c

    return replace(rope, contacts=tuple(turned(c) for c in rope.contacts))


def _hand_strands(system: System) -> list[int]:
    out, strand = [], 0
    for rope in system.ropes:
        strand += len(rope.contacts) - 1
        if rope.contacts[-1].end == "hand" and not rope.idle:
            out.append(strand - 1)
    return out


def _shorten(system: System, strands: list[int], by: float) -> System:
    laid = system.strands.laid.copy()
    laid[strands] -= by
    return system.with_state(system.position, laid)


def _still(system: System, movable: Ints) -> Rest:
    rest = settle(system, movable=movable)
    if not rest.settled:
        worst = rest.residual
        raise StuckError(
            "unsolved", f"the rig does not come to rest: {worst:.3g} N left over after all steps"
        )
    return rest


def at_height(system: System, hands: list[int]) -> tuple[System, Rest]:
    """The rig with its hands' rope taken in so far that the load stands at its drawn height, at rest.

    Raises ``StuckError``: "stuck" where tension mounts and the load stays, "loose" where rope comes in and
    nothing happens.
    """
    keeps = held(system)
    movable = np.array([n for n in system.free if keeps[n]], dtype=np.int64)
    height, load, scale = float(system.position[system.load, 2]), system.load, system.moved_weight
    rest = _still(system, movable)
    system, rest = _tightened(system, rest, hands, movable)
    taken, low = 0.0, float(rest.position[load, 2])
    if abs(low - height) < 1e-9:
        return system, rest
    gain = 1.0 / max(1, len(hands))
    current = system
    for _ in range(60):
        step = (height - low) / gain
        taken_next = taken + float(np.clip(step, -2.0, 2.0))
        current = _shorten(replace(system, position=rest.position), hands, taken_next)
        before = rest
        rest = _still(current, movable)
        now = float(rest.position[load, 2])
        if abs(now - height) < 1e-7:
            return current, rest
        moved = now - low
        if taken_next != taken:
            gain = moved / (taken_next - taken)
        if rest.tension.max(initial=0.0) > 20 * scale:
            strand = int(np.argmax(rest.tension))
            node = int(system.strands.end[strand])
            raise StuckError(
                "stuck", "tension mounts and the load does not move", node, _blocking(current, rest)
            )
        if gain < 1e-3 and rest.tension[hands].max(initial=0.0) < 0.05 * scale:
            shift = np.linalg.norm(rest.position - before.position, axis=1)
            node = int(np.argmax(shift)) if shift.max() > 1e-3 else int(system.strands.start[hands[0]])
            raise StuckError("loose", "the hand takes in rope and the load does not move", node)
        gain = max(gain, 0.02)
        taken, low = taken_next, now
    raise StuckError("unsolved", "no intake of rope brings the load to its height", load)


def _tightened(system: System, rest: Rest, hands: list[int], movable: Ints) -> tuple[System, Rest]:
    """The rig with the slack of its hands' ropes taken in, which the load does not feel."""
    cut_ = cut(system)
    length = np.linalg.norm(rest.position[system.strands.end] - rest.position[system.strands.start], axis=1)
    laid = system.strands.laid.copy()
    slack = False
    for strand in hands:
        segment = int(cut_.member[strand])
        spare = float(cut_.laid[segment] - length[list(cut_.segments[segment].strands)].sum())
        if rest.tension[strand] == 0 and spare > TIGHT:
            laid[strand] -= spare
            slack = True
    if not slack:
        return system, rest
    tight = system.with_state(system.position, laid)
    return tight, _still(replace(tight, position=rest.position), movable)


def _blocking(system: System, rest: Rest) -> int:
    """The holding contact with the greatest difference of tension across it, −1 if there is none."""
    first = {int(f): k for k, f in enumerate(system.strands.first)}
    best, where = 0.0, -1
    for c, contact in enumerate(system.contacts):
        if contact.holds != "none" and c in first and c - 1 in first:
            step = abs(float(rest.tension[first[c]] - rest.tension[first[c - 1]]))
            if step > best:
                best, where = step, c
    return where


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
    first = {int(f): k for k, f in enumerate(system.strands.first)}
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


def move(system: System, direction: int) -> Motion:
    """Solve the rig while its load rises (+1) or sinks (−1) at its drawn height.

    Raises ``StuckError`` with its kind, point and contact where the motion cannot be.
    """
    working = replace(system, ropes=tuple(_tended(rope, direction) for rope in system.ropes))
    hands = _hand_strands(working)
    if not hands:
        raise StuckError("no-hand", "no hand pulls a rope", system.load)
    _nothing_falls(working)
    current, rest = at_height(working, hands)
    _nothing_has_met(working, rest)
    stance = _first_stance(current, rest)
    _nothing_is_loose(current, stance, rest, direction)
    hand = max(1e-3 * system.moved_weight, float(rest.tension[hands].max()))
    height = float(system.position[system.load, 2])
    position, seen = rest.position, set()
    state = current
    freed = -1
    for _ in range(12):
        grouped = blocks(state, stance)
        try:
            smooth = _solved(state, stance, friction_of(state, stance, 0.0), height, position, hand)
        except StuckError as error:
            raise _instead(system, freed, error) from error
        motion = rates(state, grouped, smooth.position[:, :, 0].T, smooth.tension[:, 0], direction)
        _it_can_move(state, motion, smooth, rest)
        _nothing_comes_tight(state, grouped, smooth, motion)
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
            raise _undecided(system, stance, nxt)
        seen.add(nxt.held)
        freed = next((c for c, h in enumerate(nxt.held) if stance.held[c] and not h), -1)
        stance, position, hand = nxt, smooth.position[:, :, 0].T, float(smooth.hand[0])
    raise StuckError("unsolved", "no choice of holding contacts settles", system.load)


def _undecided(system: System, stance: Stance, nxt: Stance) -> StuckError:
    """Holding contacts go round in a circle: named by the first that changes."""
    c = next(k for k, (a, b) in enumerate(zip(stance.held, nxt.held, strict=True)) if a != b)
    node = system.contacts[c].node
    text = (
        f"{system.names[node]} neither holds nor passes its rope: held it would slide, passing it would bite"
    )
    return StuckError("unsolved", text, node, c)


def _instead(system: System, freed: int, error: StuckError) -> StuckError:
    """A grab that friction freed and that left no equilibrium is loose: it slides the way it does not
    bite.
    """
    if freed < 0:
        return error
    node = system.contacts[freed].node
    text = f"{system.names[node]} does not bite: friction pulls it along the rope the way it slides"
    return StuckError("loose", text, node, freed)


def _it_can_move(state: System, motion: Rates, smooth: Moving, rest: Rest) -> None:
    if motion.misfit > 1e-6:
        node = int(state.strands.end[int(np.argmax(smooth.tension[:, 0]))])
        raise StuckError("stuck", "taut ropes leave the load no way to move", node, _blocking(state, rest))
    if motion.softest < SOFT * state.moved_weight:
        name = state.names[motion.loose]
        raise StuckError(
            "loose", f"nothing keeps {name} in place: it can move without the load", motion.loose
        )


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

    Devices are closed again and idle hands hold their rope as it was drawn, slack and all.
    """
    position = motion.real.position[:, :, 0].T
    tension = motion.real.tension[:, 0]
    length = np.linalg.norm(position[system.strands.end] - position[system.strands.start], axis=1)
    laid = length / (1.0 + tension / system.strands.stiffness)
    drawn = system.strands.laid
    for b, kind in enumerate(motion.blocks.kind):
        ids = np.flatnonzero(motion.blocks.member == b)
        if kind == "idle":
            laid[ids] = drawn[ids]
        elif kind == "closed" and tension[ids].max() <= 0:
            longest = ids[int(np.argmax(length[ids]))]
            laid[longest] += max(0.0, motion.blocks.laid[b] - float(length[ids].sum()))
    return system.with_state(position, laid)


def _nothing_falls(system: System) -> None:
    keeps = held(system)
    for n in (system.load, *system.free):
        if not keeps[n] and (n == system.load or system.weight[n] > 0):
            what = "the load" if n == system.load else system.names[n]
            raise StuckError("falls", f"nothing holds {what} up", int(n))


def _nothing_has_met(system: System, rest: Rest) -> None:
    """Two points of one rope that were apart as drawn and are together once the load is up: the hand pulls
    them together.
    """
    s = system.strands
    drawn = np.linalg.norm(system.position[s.end] - system.position[s.start], axis=1)
    now = np.linalg.norm(rest.position[s.end] - rest.position[s.start], axis=1)
    met = np.flatnonzero(s.real & (drawn > 10 * MET) & (now < MET))
    if len(met):
        a, b = int(s.start[met[0]]), int(s.end[met[0]])
        free, other = (b, a) if system.fixed[a] else (a, b)
        text = f"{system.names[free]} is pulled along the rope to {system.names[other]} before the load moves"
        raise StuckError("loose", text, free)


def _nothing_is_loose(system: System, stance: Stance, rest: Rest, direction: int) -> None:
    motion = rates(system, blocks(system, stance), rest.position, rest.tension, direction)
    if motion.softest < SOFT * system.moved_weight:
        name = system.names[motion.loose]
        raise StuckError(
            "loose", f"nothing keeps {name} in place: it can move without the load", motion.loose
        )


def _nothing_comes_tight(system: System, grouped: Blocks, smooth: Moving, motion: Rates) -> None:
    """A rope just not tight that the motion would lengthen stops it at once."""
    position = smooth.position[:, :, 0].T
    unit, length = chord(position, system.strands)
    s = system.strands
    growth = ((motion.velocity[s.end] - motion.velocity[s.start]) * unit).sum(axis=1)
    for b, kind in enumerate(grouped.kind):
        ids = np.flatnonzero(grouped.member == b)
        if (
            kind != "closed"
            or smooth.tension[ids, 0].max() > SLACK * system.moved_weight
            or growth[ids].sum() < STILL
        ):
            continue
        if length[ids].sum() > grouped.laid[b] - TIGHT:
            rope = system.ropes[int(s.rope[ids[0]])].name
            node = int(s.start[ids[0]])
            raise StuckError(
                "stuck", f"{rope} is tight as drawn and would have to grow longer", node, int(s.first[ids[0]])
            )


def _solved(
    system: System, stance: Stance, friction: Friction, height: float, start: Array, hand: float
) -> Moving:
    out = solve_moving(system, stance, friction, height, start, hand)
    worst = float(out.residual[0])
    if not worst <= 1e-7 * system.moved_weight:
        raise StuckError("unsolved", f"no equilibrium found: {worst:.3g} N left over", system.load)
    return out
