"""What the mechanics knows of a rig: points, ropes and the contacts that hold, pass or pull them.

Frame: right-handed, x right, y away, z up; metres, newtons, kilograms. Gear names, policies and
files are unknown here; names are carried only so that an error can say which point it means.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s²] (ISO 80000-3)."""

NEAR = 1e-4
"""Length [m] below which two points count as touching; smooths the norm of a strand at zero length."""

SLACK = 1e-6
"""Tension, as a share of the moved weight, below which a strand counts as slack."""

Holds = Literal["none", "both", "backward", "forward"]
End = Literal["", "hand", "tail"]


@dataclass(frozen=True, slots=True)
class Drag:
    """Friction of one contact for one direction of slip, as the logarithm of a tension ratio.

    ``ln(T_pulling / T_pulled) = fixed + per_radian · θ``, θ [rad] being the wrap found from the geometry.
    A sheave of efficiency e, given at 180°, has ``per_radian = −ln(e)/π``; an edge has ``per_radian = μ``;
    a lowering device of ratio R has ``fixed = ln R``.
    """

    fixed: float = 0.0
    per_radian: float = 0.0

    def log_ratio(self, wrap: float) -> float:
        """Ln of the tension ratio at a wrap [rad] ≥ 0."""
        return self.fixed + self.per_radian * wrap


@dataclass(frozen=True, slots=True)
class Contact:
    """Where a rope meets a point.

    ``holds``: which flow of rope is stopped here. "forward" is flow towards the end of the run, "backward"
    towards its start; a grab or one-way device that bites normally holds "backward".
    ``forward``/``backward``: friction when the rope slips that way. ``slips``: the force [N] above which a
    holding contact lets the rope slide (infinite: not known to). ``slides``: the difference of tension [N]
    that it takes to move rope the way a one-way contact lets it, which keeps a grab where it was put.
    ``opens``: a person can open it to lower. ``end``: "hand" or "tail" where the run ends without being
    made fast.
    """

    node: int
    holds: Holds = "none"
    forward: Drag = Drag()
    backward: Drag = Drag()
    slips: float = float("inf")
    slides: float = 0.0
    opens: bool = False
    end: End = ""


@dataclass(frozen=True, slots=True)
class Rope:
    """A rope as a run of contacts and the unstretched length of each strand between them.

    ``laid`` [m] has one entry fewer than ``contacts``; ``stiffness`` is EA [N]; ``weight`` [N/m] is the
    rope's own weight, given only where it is to be counted; ``idle`` marks a rope that its hand only tends.
    """

    name: str
    contacts: tuple[Contact, ...]
    laid: tuple[float, ...]
    stiffness: float
    weight: float = 0.0
    idle: bool = False


@dataclass(frozen=True)
class Strands:
    """All strands of all ropes as arrays, one entry a strand, in the order of the ropes and their runs."""

    start: Ints
    end: Ints
    rope: Ints
    first: Ints  # contact at the strand's start, in the flat numbering of contacts
    real: NDArray[np.bool_]  # the two points differ, so the strand has a direction
    laid: Array
    stiffness: Array
    weight: Array

    def __len__(self) -> int:
        return len(self.start)


@dataclass(frozen=True)
class System:
    """A rig for the mechanics.

    ``position`` (n, 3) [m], ``fixed`` (n,) bool, ``mass`` (n,) [kg]; ``load`` is the index of the point
    that is to be moved, or −1.
    """

    names: tuple[str, ...]
    position: Array
    fixed: NDArray[np.bool_]
    mass: Array
    ropes: tuple[Rope, ...]
    load: int = -1

    @cached_property
    def contacts(self) -> tuple[Contact, ...]:
        """Every contact of every rope, flat; strand k of a rope joins two neighbours of this list."""
        return tuple(c for rope in self.ropes for c in rope.contacts)

    @cached_property
    def contact_rope(self) -> tuple[int, ...]:
        """The rope index of each flat contact."""
        return tuple(r for r, rope in enumerate(self.ropes) for _ in rope.contacts)

    @cached_property
    def strands(self) -> Strands:
        """The strand table."""
        start, end, owner, first, laid, stiffness, weight = [], [], [], [], [], [], []
        flat = 0
        for r, rope in enumerate(self.ropes):
            for k in range(len(rope.contacts) - 1):
                start.append(rope.contacts[k].node)
                end.append(rope.contacts[k + 1].node)
                owner.append(r)
                first.append(flat + k)
                laid.append(rope.laid[k])
                stiffness.append(rope.stiffness)
                weight.append(rope.weight)
            flat += len(rope.contacts)
        i, j = np.array(start, dtype=np.int64), np.array(end, dtype=np.int64)
        return Strands(
            i,
            j,
            np.array(owner, dtype=np.int64),
            np.array(first, dtype=np.int64),
            i != j,
            np.array(laid, dtype=np.float64),
            np.array(stiffness, dtype=np.float64),
            np.array(weight, dtype=np.float64),
        )

    @cached_property
    def strand_at(self) -> dict[int, int]:
        """The strand that starts at each flat contact that one starts at."""
        return {f: k for k, f in enumerate(self.strands.first.tolist())}

    @cached_property
    def neighbours(self) -> tuple[tuple[int, int], ...]:
        """For each flat contact the nearest strands before and after it that have a direction, −1 where
        none.
        """
        real, first, at = self.strands.real.tolist(), self.strands.first.tolist(), self.strand_at
        out = []
        for c in range(len(self.contacts)):
            before = at.get(c - 1, -1)
            while before >= 0 and not real[before]:
                before = at.get(first[before] - 1, -1)
            after = at.get(c, -1)
            while after >= 0 and not real[after]:
                after = at.get(first[after] + 1, -1)
            out.append((before, after))
        return tuple(out)

    @cached_property
    def free(self) -> Ints:
        """Indices of the points that can move."""
        return np.flatnonzero(~self.fixed)

    @cached_property
    def joins(self) -> Array:
        """(S, m): −1 where a strand starts at the m-th free point, +1 where it ends there, else 0."""
        return incidence(self.strands, self.free, len(self.position))

    @cached_property
    def weight(self) -> Array:
        """Weight of each point [N], the rope's own weight shared between the ends of its strands."""
        w = self.mass * GRAVITY
        s = self.strands
        if s.weight.any():
            half = 0.5 * s.weight * s.laid
            np.add.at(w, s.start, half)
            np.add.at(w, s.end, half)
        return np.asarray(w)

    @cached_property
    def moved_weight(self) -> float:
        """Scale of the forces [N]: the weight of everything that can move, at least 1 N."""
        return max(1.0, float(self.weight[self.free].sum()))

    def with_state(self, position: Array, laid: Array) -> System:
        """The same rig with its points at ``position`` (n, 3) and strands of unstretched length ``laid``
        (S,).
        """
        ropes, at, lengths = [], 0, np.asarray(laid, dtype=np.float64).tolist()
        for rope in self.ropes:
            n = len(rope.contacts) - 1
            ropes.append(
                Rope(
                    rope.name,
                    rope.contacts,
                    tuple(lengths[at : at + n]),
                    rope.stiffness,
                    rope.weight,
                    rope.idle,
                )
            )
            at += n
        out = replace(self, position=np.array(position, dtype=np.float64), ropes=tuple(ropes))
        known = {"strands": replace(self.strands, laid=np.array(lengths, dtype=np.float64))}
        return self._handed_on(out, known)

    def with_masses(self, mass: Array) -> System:
        """The same rig with other masses (n,) [kg]."""
        return self._handed_on(
            replace(self, mass=np.asarray(mass, dtype=np.float64)), {"strands": self.strands}
        )

    def _handed_on(self, other: System, known: Mapping[str, object]) -> System:
        """Another state of this system with everything known already that its ropes' runs alone decide."""
        own = self.__dict__
        other.__dict__.update({name: own[name] for name in _OF_THE_RUNS if name in own})
        other.__dict__.update(known)
        return other


_OF_THE_RUNS = ("contacts", "contact_rope", "strand_at", "neighbours", "free", "joins")
"""What a system works out of its ropes' runs and fixed points, whatever its lengths and masses."""


def incidence(strands: Strands, moving: Ints, points: int) -> Array:
    """(S, m): −1 where a strand starts at the m-th moving point, +1 where it ends there, 0 within a point."""
    signed = np.zeros((len(strands), points))
    rows = np.arange(len(strands))
    signed[rows, strands.start] = -1.0
    signed[rows, strands.end] += 1.0
    return np.asarray(signed[:, moving])


def chord(position: Array, strands: Strands) -> tuple[Array, Array]:
    """Unit direction (S, 3) from each strand's start to its end, and its length (S,) [m].

    A strand that begins and ends at one point has length 0 and no direction; lengths are smoothed below
    ``NEAR``.
    """
    d = position[strands.end] - position[strands.start]
    length = np.sqrt((d * d).sum(axis=-1) + np.where(strands.real, NEAR * NEAR, 0.0))
    unit = d / np.where(length > 0, length, 1.0)[:, None]
    return unit, length


def drawn_lengths(
    position: Array, contacts: tuple[Contact, ...], slack: tuple[float, ...]
) -> tuple[float, ...]:
    """Laid length [m] of each strand of a run drawn at ``position``: as drawn plus the slack given for it
    [m].
    """
    return tuple(
        float(np.linalg.norm(position[b.node] - position[a.node])) + extra
        for a, b, extra in zip(contacts, contacts[1:], slack, strict=False)
    )


def wraps(system: System, unit: Array) -> Array:
    """Wrap angle θ [rad] of the rope at every flat contact (C,), from strand directions ``unit`` (S, 3).

    θ is the deflection: 0 where the rope runs straight on, π where it turns back. At the ends of a run it
    is 0.
    """
    out = np.zeros(len(system.contacts))
    turns = [(c, *both) for c, both in enumerate(system.neighbours) if min(both) >= 0]
    if turns:
        at, before, after = np.array(turns, dtype=np.int64).T
        a, b = unit[before], unit[after]
        size = np.sqrt((a * a).sum(axis=1)) * np.sqrt((b * b).sum(axis=1))
        out[at] = np.arccos(np.clip((a * b).sum(axis=1) / np.maximum(size, 1e-30), -1.0, 1.0))
    return out
