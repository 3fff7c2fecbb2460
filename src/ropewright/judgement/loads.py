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
    (parts, at_start, at_end), (hands, by_start, by_end) = _meetings(assembly)
    return Pulls(
        dict(zip(parts, _summed(at_start, on_start) + _summed(at_end, on_end), strict=True)),
        dict(zip(hands, _summed(by_start, on_start) + _summed(by_end, on_end), strict=True)),
        tension,
    )


_Met = tuple[tuple[str, ...], Array, Array]


def _meetings(assembly: Assembly) -> tuple[_Met, _Met]:
    """The parts that strands meet other than in a hand, and which strands start and end at each (P, S); the
    same for hands.
    """
    return assembly.kept("meetings", lambda: (_met(assembly, False), _met(assembly, True)))


def _met(assembly: Assembly, hands: bool) -> _Met:
    found: dict[str, int] = {}
    at: list[tuple[int, int, int]] = []
    for k, pair in enumerate(assembly.ends):
        for side, wire in enumerate(pair):
            target = wire.contact.target
            if target is not None and (wire.contact.verb == "hand") == hands:
                at.append((side, found.setdefault(target, len(found)), k))
    out = np.zeros((2, len(found), len(assembly.ends)))
    if at:
        out[tuple(np.array(at).T)] = 1.0
    return tuple(found), out[0], out[1]


def _summed(which: Array, force: Array) -> Array:
    """Sums (P, 3, N) of the strands' forces (3, S, N) that belong together."""
    return np.asarray((which @ force).transpose(1, 0, 2))


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
    bears = assembly.kept("bears", lambda: _bears(assembly))
    forces = np.zeros((len(bears.parts), 3, found.tension.shape[1]))
    for name, force in found.on_part.items():
        forces[bears.row[name]] = force
    forces[:, 2] -= bears.weight[:, None]
    total = (bears.hangs @ forces.reshape(len(forces), -1)).reshape(forces.shape)
    for name, force in found.hands.items():
        if name in assembly.rig.crews:
            total[bears.row[name]] += force
    return dict(zip(bears.parts, total, strict=True))


@dataclass(frozen=True)
class _Bears:
    """All parts, the own weight [N] of each piece of gear, and what hangs on what (P, P), itself included."""

    parts: tuple[str, ...]
    row: Mapping[str, int]
    weight: Array
    hangs: Array


def _bears(assembly: Assembly) -> _Bears:
    rig = assembly.rig
    parts = (*rig.points, *rig.loads, *rig.crews, *rig.gear)
    row = {name: k for k, name in enumerate(parts)}
    weight, hangs = np.zeros(len(parts)), np.eye(len(parts))
    for name in rig.gear:
        weight[row[name]] = own_weight(assembly, name)
        above, steps = assembly.parent.get(name), 0
        while above is not None and steps <= len(assembly.parent):
            hangs[row[above], row[name]] = 1.0
            above, steps = assembly.parent.get(above), steps + 1
    return _Bears(parts, row, weight, hangs)


def greatest_on(assembly: Assembly, found: Pulls, part: str) -> Array:
    """Greatest tension (N,) [N] in any strand at a part: what pulls through a device, a grab or a sheave."""
    strands = assembly.strands_at.get(part)
    if strands is None:
        return np.zeros(found.tension.shape[1])
    return np.asarray(np.maximum(0.0, found.tension[strands].max(axis=0)))


def grip_difference(assembly: Assembly, found: Pulls, flat: int) -> Array:
    """Tension before less tension after a contact (N,) [N]: what a grab there has to hold by friction."""
    first = assembly.system.strand_at
    zero = np.zeros(found.tension.shape[1])
    before, after = first.get(flat - 1), first.get(flat)
    return (zero if before is None else found.tension[before]) - (
        zero if after is None else found.tension[after]
    )
