"""The force on every part: vector sums of the strands at it and of all that hangs on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.mechanics import GRAVITY, Hung

from .assemble import Assembly
from .components import joins_of
from .contacts import Wire

Array = NDArray[np.float64]
MET = 1e-3
"""Length [m] of a strand below which its two ends have met, and its direction is lost."""


@dataclass(frozen=True)
class Pulls:
    """Forces that the ropes of one state exert, N samples.

    ``on_part`` (3, N) [N] on every part that a rope meets, hands left out; ``hands`` the same for the
    hands' own pull; ``gripped`` what a rope gives (N,) [N] to each grab that grips it, one for each such
    contact with the grab's name; ``tension`` (S, N) of the strands.
    """

    on_part: Mapping[str, Array]
    hands: Mapping[str, Array]
    gripped: tuple[tuple[str, Array], ...]
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
    parts, hands = (
        zip(names, _summed(starts, on_start) + _summed(ends, on_end), strict=True)
        for names, starts, ends in _meetings(assembly)
    )
    gripped = tuple(
        (name, _given(before, after, on_start, on_end, tension, length))
        for name, before, after in _grip_contacts(assembly)
    )
    return Pulls(dict(parts), dict(hands), gripped, tension)


def _given(before: int, after: int, on_start: Array, on_end: Array, tension: Array, length: Array) -> Array:
    """What a rope gives (N,) [N] to a grab between two strands, -1 for none. Where one has no length
    its direction is not known, and the greater tension stands in.
    """
    ids = [k for k in (before, after) if k >= 0]
    force = sum(side[:, k] for k, side in ((before, on_end), (after, on_start)) if k >= 0)
    size = np.sqrt((np.asarray(force) ** 2).sum(axis=0))
    met = (length[ids] < MET).any(axis=0)
    return np.asarray(np.where(met, tension[ids].max(axis=0), size))


def _grip_contacts(assembly: Assembly) -> tuple[tuple[str, int, int], ...]:
    """Each contact at which a grab grips: the grab, and the strands before and after it, -1 where none is."""
    at = assembly.system.strand_at
    return assembly.kept(
        "grips",
        lambda: tuple(
            (wire.contact.target or "", at.get(flat - 1, -1), at.get(flat, -1))
            for flat, wire in enumerate(assembly.wires)
            if grips(assembly, wire) and (flat - 1 in at or flat in at)
        ),
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


def grips(assembly: Assembly, wire: Wire) -> bool:
    """Whether a grab grips the rope at a contact: it bears what it takes out of the rope, not what the rope
    carries on past it.
    """
    item = assembly.rig.gear.get(wire.contact.target or "")
    if item is None or wire.contact.verb != "grip":
        return False
    return assembly.figures.catalogue[item.type].family == "grab"


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
    """The greatest pull (N,) [N] of one rope on a part: the tension of what is tied to it or runs through it,
    and what a rope gives to a grab that grips it: the difference of its two sides, as forces
    (docs/theory/forces.md).
    """
    out = np.zeros(found.tension.shape[1])
    strands = assembly.kept("pulling", lambda: _pulling(assembly)).get(part)
    if strands:
        out = np.maximum(out, found.tension[strands].max(axis=0))
    for name, size in found.gripped:
        if name == part:
            out = np.maximum(out, size)
    return np.asarray(out)


def _pulling(assembly: Assembly) -> dict[str, list[int]]:
    """For each part the strands that pull on it with their whole tension."""
    out: dict[str, list[int]] = {}
    for k, pair in enumerate(assembly.ends):
        for wire in pair:
            if wire.contact.target is not None and not grips(assembly, wire):
                out.setdefault(wire.contact.target, []).append(k)
    return out


def grip_difference(assembly: Assembly, found: Pulls, flat: int) -> Array:
    """Tension before less tension after a contact (N,) [N]: what a grab there has to hold by friction."""
    first = assembly.system.strand_at
    zero = np.zeros(found.tension.shape[1])
    before, after = first.get(flat - 1), first.get(flat)
    return (zero if before is None else found.tension[before]) - (
        zero if after is None else found.tension[after]
    )
