"""Angles that a person can change: between the legs of an anchor, and between the strands at a redirect."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from .assemble import Assembly
from .loads import Pulls

Array = NDArray[np.float64]

__all__ = ["Leg", "Legs", "distance_to_strand", "legs", "redirect_opened", "redirects"]


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg of an anchor: its rope, the anchor, its tension [N] and unit direction (3,) up from the master
    point.
    """

    rope: str
    anchor: str
    tension: float
    direction: Array
    line: int


@dataclass(frozen=True, slots=True)
class Legs:
    """Legs that meet at one floating point."""

    at: str
    legs: tuple[Leg, ...]

    @property
    def widest(self) -> tuple[float, Leg, Leg]:
        """The widest angle [rad] between two of them, and which."""
        return max(
            ((_angle(a.direction, b.direction), a, b) for a, b in combinations(self.legs, 2)),
            key=lambda found: found[0],
        )

    @property
    def pull(self) -> float:
        """What all legs carry together [N]."""
        return float(np.linalg.norm(sum(leg.tension * leg.direction for leg in self.legs)))

    def closed_to(self, tension: float) -> float | None:
        """The angle [rad] at which two equal legs carry ``tension`` [N] each: 2·acos(R/2T), R what they
        carry together. None where no angle does, or where there are not two legs.
        """
        share = self.pull / (2.0 * tension)
        return 2.0 * math.acos(share) if len(self.legs) == 2 and share < 1.0 else None


def legs(assembly: Assembly, found: Pulls, position: Array) -> list[Legs]:
    """Every floating point that hangs in two or more taut ropes tied to fixed places."""
    system = assembly.system
    meeting: dict[int, list[Leg]] = {}
    for k in range(len(system.strands)):
        ends = assembly.strand_ends(k)
        if any(w.contact.verb != "tie" for w in ends) or found.tension[k, 0] < 1.0:
            continue
        a, b = (int(system.strands.start[k]), ends[0]), (int(system.strands.end[k]), ends[1])
        for (top, wire), (low, _) in ((a, b), (b, a)):
            if system.fixed[top] and not system.fixed[low]:
                away = position[top] - position[low]
                unit = away / max(float(np.linalg.norm(away)), 1e-9)
                anchor = wire.contact.target or ""
                leg = Leg(
                    wire.rope, anchor, float(found.tension[k, 0]), unit, assembly.rig.ropes[wire.rope].line
                )
                meeting.setdefault(low, []).append(leg)
    return [Legs(system.names[n], tuple(found)) for n, found in meeting.items() if len(found) > 1]


@dataclass(frozen=True, slots=True)
class Redirect:
    """A place where one rope changes direction: the part, the two tensions [N], the angle [rad] between.

    ``openable``: whether another place could be found for a strand. Not in a reeving, whose strands both run
    back to what moves, nor at a device or a grab, where the hand or the load sets how the rope lies.
    """

    part: str
    tensions: tuple[float, float]
    angle: float
    openable: bool = True


def redirects(assembly: Assembly, found: Pulls, position: Array) -> list[Redirect]:
    """Every fixed place whose only load is one rope that turns there, by the names of all parts there."""
    system, out = assembly.system, []
    s = system.strands
    for n in np.flatnonzero(system.fixed):
        here = [c for c, contact in enumerate(system.contacts) if contact.node == n and contact.end != "tail"]
        if len(here) != 1:
            continue
        before, after = system.neighbours[here[0]]
        if before < 0 or after < 0:
            continue
        back = position[s.start[before]] - position[n]
        on = position[s.end[after]] - position[n]
        pair = (float(found.tension[before, 0]), float(found.tension[after, 0]))
        stays = bool(system.fixed[s.start[before]] or system.fixed[s.end[after]])
        openable = stays and not _holds_rope(assembly, here[0])
        angle = _angle(back, on)
        out += [Redirect(part, pair, angle, openable) for part, m in assembly.node.items() if m == n]
    return out


def _holds_rope(assembly: Assembly, contact: int) -> bool:
    """Whether a contact is one of a device or a grab."""
    item = assembly.rig.gear.get(assembly.wires[contact].contact.target or "")
    kind = assembly.figures.catalogue.get(item.type) if item else None
    return kind is not None and kind.family in ("device", "grab")


def redirect_opened(redirect: Redirect, force: float) -> float | None:
    """The interior angle [rad] from which the redirect carries no more than ``force`` [N], by
    F² = T₁² + T₂² + 2·T₁·T₂·cos α; None where opening it does not do.
    """
    a, b = redirect.tensions
    if a <= 0 or b <= 0:
        return None
    cosine = (force * force - a * a - b * b) / (2.0 * a * b)
    return math.acos(cosine) if -1.0 <= cosine < math.cos(redirect.angle) else None


def distance_to_strand(point: Iterable[float], start: Array, end: Array) -> float:
    """Distance [m] of a point from the straight line between two ends, all (3,) [m]."""
    p, along = np.asarray(tuple(point)), end - start
    share = float(np.clip((p - start) @ along / max(float(along @ along), 1e-12), 0.0, 1.0))
    return float(np.linalg.norm(p - start - share * along))


def _angle(a: Array, b: Array) -> float:
    size = float(np.linalg.norm(a) * np.linalg.norm(b))
    return math.acos(float(np.clip(a @ b / size, -1.0, 1.0))) if size > 0 else 0.0
