"""Which angles are named: where a rope turns at an edge or a redirect, and where legs meet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .cluster import Key
from .subject import Subject

__all__ = ["Named", "named_angles"]

Array = NDArray[np.float64]
LEAST = math.radians(10)
LEAST_TURN = math.radians(20)
"""Strands of one sheave nearer to each other than this run side by side: nobody names that angle."""
MOST = math.radians(170)


@dataclass(frozen=True, slots=True)
class Named:
    """A named angle [rad], true in space.

    kind: "interior" between the two strands, or "deflection" from straight on. ``keys``: the contact at which
    a rope turns, or the two ties whose strands meet. ``part``: where.
    """

    kind: str
    value: float
    part: str
    keys: tuple[Key, ...]
    flat: bool = True  # in the plane of the side view


def named_angles(subject: Subject) -> tuple[Named, ...]:
    """Every angle that the drawing names, in the order of the file."""
    return (*_turns(subject), *_legs(subject))


def _way(subject: Subject, start: str, end: str) -> Array | None:
    apart = subject.position[subject.node[end]] - subject.position[subject.node[start]]
    length = float(np.linalg.norm(apart))
    return None if length < 1e-6 else np.asarray(apart / length)


def _flat(a: Array, b: Array) -> bool:
    return bool(abs(a[1]) < 0.03 and abs(b[1]) < 0.03)


def _turns(subject: Subject) -> list[Named]:
    out = []
    slack = {(s.rope, k) for s in subject.stretches if s.slack for k in (s.first, s.second)}
    for rope in subject.rig.ropes.values():
        for k in range(1, len(rope.run) - 1):
            before, here, after = rope.run[k - 1 : k + 2]
            if here.verb not in ("through", "over") or not (before.target and here.target and after.target):
                continue
            back, on = _way(subject, here.target, before.target), _way(subject, here.target, after.target)
            if back is None or on is None:
                continue
            inside = math.acos(max(-1.0, min(1.0, float(back @ on))))
            if here.verb == "over":
                if math.pi - inside > LEAST:
                    out.append(
                        Named("deflection", math.pi - inside, here.target, ((rope.name, k),), _flat(back, on))
                    )
            elif (rope.name, k) in slack:
                continue  # no pulls meet there: an angle would say that they do
            elif LEAST_TURN < inside < MOST:
                out.append(Named("interior", inside, here.target, ((rope.name, k),), _flat(back, on)))
    return out


def _legs(subject: Subject) -> list[Named]:
    """Strands made fast at one free point that pull up, or down, from it: the angles between neighbours."""
    ends: dict[int, list[tuple[Key, str, Array]]] = {}
    for s in subject.stretches:
        if s.slack:
            continue
        pair = (subject.contact(s.rope, s.first), subject.contact(s.rope, s.second))
        for (here, there), k in ((pair, s.first), (pair[::-1], s.second)):
            if here.verb != "tie" or not here.target or not there.target:
                continue
            way = _way(subject, here.target, there.target)
            if way is not None and not subject.fixed[subject.node[here.target]]:
                ends.setdefault(subject.node[here.target], []).append(((s.rope, k), here.target, way))
    out = []
    for found in ends.values():
        for up in (1, -1):
            legs = [e for e in found if e[2][2] * up > 0.05]
            legs.sort(key=lambda e: (round(math.atan2(e[2][0], e[2][2] * up), 6), e[0]))
            for (key, part, way), (other, _, next_way) in pairwise(legs):
                angle = math.acos(max(-1.0, min(1.0, float(way @ next_way))))
                if LEAST < angle < MOST:
                    out.append(Named("interior", angle, part, (key, other), _flat(way, next_way)))
    return out
