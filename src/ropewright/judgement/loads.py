"""The force on every part: vector sums of the strands at it and of all that hangs on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.mechanics import GRAVITY, Hung

from .assemble import Assembly
from .components import joins_of

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Pulls:
    """Forces that the ropes of one state exert, N samples.

    ``on_part`` (3, N) [N] on every part that a rope meets, hands left out; ``hands`` the same for the
    hands' own pull; ``tension`` (S, N) of the strands.
    """

    on_part: Mapping[str, Array]
    hands: Mapping[str, Array]
    tension: Array


def pulls(assembly: Assembly, position: Array, tension: Array, hung: Hung | None = None) -> Pulls:
    """Forces that the ropes exert on the parts, world frame, SI.

    For points ``position`` (3, n, N) and strand tensions ``tension`` (S, N); ``hung`` gives the forces at
    the ends of long strands that hang (one sample).
    """
    s = assembly.system.strands
    d = position[:, s.end] - position[:, s.start]
    length = np.sqrt((d * d).sum(axis=0))
    force = tension * d / np.where(length > 0, length, 1.0)
    on_start, on_end = (
        (force, -force) if hung is None else (hung.on_start.T[:, :, None], hung.on_end.T[:, :, None])
    )
    on_part: dict[str, Array] = {}
    hands: dict[str, Array] = {}
    for k in range(len(s)):
        start, end = assembly.strand_ends(k)
        for wire, pull in ((start, on_start), (end, on_end)):
            target = wire.contact.target
            if target is None:
                continue
            into = hands if wire.contact.verb == "hand" else on_part
            into[target] = into.get(target, np.zeros_like(force[:, 0])) + pull[:, k]
    return Pulls(on_part, hands, tension)


def own_weight(assembly: Assembly, gear: str) -> float:
    """Weight [N] of a piece of gear with what joins it to its place."""
    item = assembly.rig.gear[gear]
    mass = assembly.figures.likely(gear, item.type, "mass", 0.0)
    mass += sum(assembly.figures.likely(j, j, "mass", 0.0) for j in joins_of(assembly.rig, gear))
    return mass * GRAVITY


def borne(assembly: Assembly, found: Pulls) -> dict[str, Array]:
    """What each part bears (3, N) [N]: the ropes at it and everything clipped to it, with its weight.

    For gear clipped to something this is the force in what joins it; for an anchor the force on the anchor;
    for a load the force that holds it, the pull of hands left out.
    """
    rig = assembly.rig
    shape = (3, found.tension.shape[1])
    out = {
        name: found.on_part.get(name, np.zeros(shape)).copy()
        for name in (*rig.points, *rig.loads, *rig.crews)
    }
    for name in rig.gear:
        out[name] = found.on_part.get(name, np.zeros(shape)).copy()
        out[name][2] -= own_weight(assembly, name)
    for name in sorted(rig.gear, key=lambda g: -_depth(assembly, g)):
        above = assembly.parent.get(name)
        if above is not None:
            out[above] = out[above] + out[name]
    for name, force in found.hands.items():
        if name in rig.crews:
            out[name] = out[name] + force
    return out


def _depth(assembly: Assembly, gear: str) -> int:
    depth = 0
    while gear in assembly.parent and depth <= len(assembly.parent):
        gear, depth = assembly.parent[gear], depth + 1
    return depth


def greatest_on(assembly: Assembly, found: Pulls, part: str) -> Array:
    """Greatest tension (N,) [N] in any strand at a part: what pulls through a device, a grab or a sheave."""
    out = np.zeros(found.tension.shape[1])
    for k in range(len(assembly.system.strands)):
        if part in {w.contact.target for w in assembly.strand_ends(k)}:
            out = np.maximum(out, found.tension[k])
    return out


def grip_difference(assembly: Assembly, found: Pulls, flat: int) -> Array:
    """Tension before less tension after a contact (N,) [N]: what a grab there has to hold by friction."""
    first = {int(f): k for k, f in enumerate(assembly.system.strands.first)}
    zero = np.zeros(found.tension.shape[1])
    before, after = first.get(flat - 1), first.get(flat)
    return (zero if before is None else found.tension[before]) - (
        zero if after is None else found.tension[after]
    )
