"""Doing a step: one function for each verb, from a moment to the moment after."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from ropewright.procedure.model import Step
from ropewright.procedure.moment import Moment
from ropewright.procedure.world import World

from . import devices, edges, joining, looking, moving, roping
from .base import CannotError, Change

__all__ = ["ACTS", "CannotError", "Change", "do"]

ACTS: Mapping[str, Callable[[Step, Moment, World], Change]] = {
    "clip": joining.clip,
    "unclip": joining.unclip,
    "lock": joining.gate,
    "unlock": joining.gate,
    "tie": joining.tie,
    "untie": joining.untie,
    "put": roping.put,
    "take-off": roping.take_off,
    "reeve": roping.reeve,
    "take-out": roping.take_out_of,
    "let-off": roping.let_off,
    "grip": roping.grip,
    "advance": roping.advance,
    "hand-on": devices.hand_on,
    "hand-off": devices.hand_off,
    "open": devices.open_device,
    "close": devices.close,
    "lock-off": devices.lock_off,
    "undo": devices.undo,
    "haul": moving.haul,
    "lower": moving.lower,
    "take-in": moving.take_in,
    "give-out": moving.give_out,
    "give-weight": moving.give_weight,
    "take-weight": moving.take_weight,
    "stand": moving.stand,
    "sit": moving.sit,
    "move": edges.past_edge,
    "check": looking.check,
    "inch-test": looking.inch_test,
    "whistle-test": looking.whistle_test,
    "critical-point-test": looking.critical_points,
    "call": looking.call,
}

_MOVES_NO_WEIGHT = (
    *("clip", "lock", "unlock", "tie", "put", "reeve", "hand-on", "lock-off", "take-in", "call", "check"),
    *("inch-test", "whistle-test", "critical-point-test"),
)
"""Verbs after which a rope is still held by what held it before."""


def do(step: Step, moment: Moment, world: World) -> Change:
    """Do one step; CannotError where it can't be done as things stand.

    What only keeps people from doing it (weight on it, reach, hands) is told in ``hindrances``, and the step
    taken as done, so that what follows can still be looked at.
    """
    noted = world.noting()
    change = ACTS[step.verb](step, moment, world)
    if change.after.unset and step.verb not in _MOVES_NO_WEIGHT:
        change = replace(change, after=replace(change.after, unset=frozenset()))
    return replace(change, hindrances=tuple(noted))
