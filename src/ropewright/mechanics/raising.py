"""Bringing a rig to its height: the hands take in rope until the load stands where it is drawn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .model import Contact, Ints, Rope, System
from .reach import held
from .segments import cut
from .settle import Rest, settle
from .stuck import TIGHT, StuckError, blocking


def tended(rope: Rope, direction: int) -> Rope:
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


def hand_strands(system: System) -> list[int]:
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


def still(system: System, movable: Ints) -> Rest:
    rest = settle(system, movable=movable)
    if not rest.settled:
        worst = rest.residual
        raise StuckError(
            "unsolved", f"the rig does not come to rest: {worst:.3g} N left over after all steps"
        )
    return rest


def at_height(system: System, hands: list[int], height: float) -> tuple[System, Rest]:
    """The rig with its hands' rope taken in or paid out until the load stands at ``height`` [m], at rest.

    Raises ``StuckError``: "stuck" where tension mounts and the load stays, "loose" where rope comes in and
    nothing happens.
    """
    keeps = held(system)
    movable = np.array([n for n in system.free if keeps[n]], dtype=np.int64)
    load, scale = system.load, system.moved_weight
    rest = still(system, movable)
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
        rest = still(current, movable)
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
                "stuck", "tension mounts and the load does not move", node, blocking(current, rest)
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
    return tight, still(replace(tight, position=rest.position), movable)
