"""From a rig file's parts to the mechanics' points and contacts, whole or with something gone."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.mechanics import GRAVITY, System
from ropewright.mechanics import Rope as Line
from ropewright.quantity import Range
from ropewright.rig import Rig, Rope

from .components import Component, Key, joined_by, joins_of
from .contacts import Contacts, Run, Wire
from .drags import GUESS, FrictionEnd, RangeEnd
from .figures import Figures
from .placing import positions
from .state import State

_Made = TypeVar("_Made")
LONG_STRAND = 20.0
"""Drawn length [m] of a strand from which a rope's own weight is counted: below it the weight is under 2 %
of one person."""


@dataclass(frozen=True)
class Assembly:
    """A rig put together for the mechanics.

    ``node`` gives each part's point; ``wires`` runs parallel to ``system.contacts``; ``parent`` is what
    each piece of gear is still joined to; ``loose`` are the ropes that nobody holds.
    """

    rig: Rig
    system: System
    node: Mapping[str, int]
    wires: tuple[Wire, ...]
    parent: Mapping[str, str]
    figures: Figures
    gone: frozenset[Key] = field(default_factory=frozenset)
    loose: frozenset[str] = field(default_factory=frozenset)

    def strand_ends(self, strand: int) -> tuple[Wire, Wire]:
        """The contacts at a strand's start and end."""
        return self.ends[strand]

    @cached_property
    def ends(self) -> tuple[tuple[Wire, Wire], ...]:
        """The contacts at every strand's start and end."""
        return tuple([(self.wires[k], self.wires[k + 1]) for k in self.system.strands.first.tolist()])

    @cached_property
    def strands_at(self) -> dict[str, list[int]]:
        """The strands at each part that any meets, hands included."""
        out: dict[str, list[int]] = {}
        for k, pair in enumerate(self.ends):
            for part in {wire.contact.target for wire in pair} - {None}:
                out.setdefault(part or "", []).append(k)
        return out

    def kept(self, what: str, make: Callable[[], _Made]) -> _Made:
        """What ``make`` makes of this assembly, made once."""
        known = self.__dict__.setdefault("_kept", {})
        if what not in known:
            known[what] = make()
        made: _Made = known[what]
        return made

    def state(self, system: System) -> State:
        """The positions and laid lengths of ``system``, a later state of this assembly's system."""
        at = {part: system.position[n] for part, n in self.node.items()}
        lengths = zip(self.ends, system.strands.laid.tolist(), strict=True)
        return State(at, {(start.rope, start.index): length for (start, _), length in lengths})


def assemble(
    rig: Rig,
    catalogue: Catalogue,
    *,
    figures: Figures | None = None,
    gone: Iterable[Component] = (),
    hands_off: bool | frozenset[str] = False,
    friction: FrictionEnd = "likely",
    braked: bool = False,
    stretch: RangeEnd = "likely",
    state: State | None = None,
    load: str = "",
    kept: frozenset[str] = frozenset(),
) -> Assembly:
    """Put a rig together.

    ``gone``: components that have failed; ``hands_off``: nobody holds a rope or a device open, or
    nobody those ropes that are named;
    ``friction``: at which end of its range friction is taken; ``braked``: a hand on the rope keeps a
    braking device from running, as when nothing moves (whether the hand can is asked with friction);
    ``stretch``: at which end of its range ropes' stiffness is taken; ``state``: where things are, as drawn
    if left out; ``load``: which load is to be moved, by default the one hauled, lowered, or the first;
    ``kept``: ropes of which a hand keeps what it has, none passing.
    """
    lost = frozenset(c.key for c in gone)
    figures = figures or Figures(rig, catalogue)
    loose = hands_off if isinstance(hands_off, frozenset) else frozenset(rig.ropes if hands_off else ())
    builder = _Builder(rig, figures, lost, stretch)
    parent = builder.joined()
    node, names = builder.nodes(parent)
    mass = builder.masses(node, len(names))
    runs = Contacts(rig, catalogue, figures, lost, loose, kept, friction, braked).runs(node, mass)
    position = positions(rig, node, len(names), parent, state)
    lines = builder.lines(runs, position, state)
    asked = rig.haul or rig.lower
    moved = load or (asked.load if asked else next(iter(rig.loads), ""))
    system = System(
        tuple(names),
        position,
        builder.fixed(node, len(names)),
        mass,
        tuple(lines),
        node[moved] if moved else -1,
    )
    return Assembly(
        rig, system, node, tuple([w for run in runs for w in run.wires]), parent, figures, lost, loose
    )


class _Builder:
    def __init__(self, rig: Rig, figures: Figures, lost: frozenset[Key], stretch: RangeEnd) -> None:
        self.rig, self.figures, self.lost, self.stretch = rig, figures, lost, stretch

    def joined(self) -> dict[str, str]:
        """What each piece of gear is still joined to: not through a broken join, nor to or from gear that
        is gone.
        """
        clipped = self.figures.kept(self.rig, "clipped", lambda: _clipped(self.rig))
        return {gear: place for gear, place, by in clipped if self.lost.isdisjoint(by)}

    def nodes(self, parent: Mapping[str, str]) -> tuple[dict[str, int], list[str]]:
        """One point for each set of parts joined to each other, named for the part at its root."""
        node: dict[str, int] = {}
        names: list[str] = []
        for part in (*self.rig.points, *self.rig.loads, *self.rig.crews, *self.rig.gear):
            if part not in parent:
                node[part] = len(names)
                names.append(part)
        for part in self.rig.gear:
            root, steps = part, 0
            while root in parent and steps <= len(parent):
                root, steps = parent[root], steps + 1
            node[part] = node[root]
        return node, names

    def fixed(self, node: Mapping[str, int], count: int) -> NDArray[np.bool_]:
        out = np.zeros(count, dtype=bool)
        for part in (*self.rig.points, *self.rig.crews):
            out[node[part]] = ("anchor", part, 0) not in self.lost
        return out

    def masses(self, node: Mapping[str, int], count: int) -> NDArray[np.float64]:
        out = [0.0] * count
        for part, mass in self.figures.kept(self.rig, "masses", lambda: _masses(self.rig, self.figures)):
            out[node[part]] += mass
        return np.array(out)

    def lines(self, runs: list[Run], position: NDArray[np.float64], state: State | None) -> list[Line]:
        out, at = [], position.tolist()
        for run in runs:
            rope, touches = run.rope, run.touches
            drawn = [_apart(at[a.node], at[b.node]) for a, b in pairwise(touches)]
            laid = self._laid(rope, run.wires, drawn, state)
            used = self.figures.get(rope.name, rope.type, "stiffness").value
            stiffness = GUESS["stiffness"] if used is None else getattr(used, self.stretch)
            weight = 0.0
            if max(drawn) >= LONG_STRAND:
                weight = GRAVITY * self.figures.likely(rope.name, rope.type, "mass", 0.0)
            out.append(Line(rope.name, touches, tuple(laid), stiffness, weight, run.idle))
        return out

    @staticmethod
    def _laid(rope: Rope, kept: Sequence[Wire], drawn: list[float], state: State | None) -> list[float]:
        """Rope between contacts: as the state has it, summed over contacts that are gone, or as drawn with
        its slack.
        """
        out = []
        for wire, nxt, length in zip(kept, kept[1:], drawn, strict=False):
            steps = range(wire.index, nxt.index)
            if state is not None and any((rope.name, k) in state.laid for k in steps):
                out.append(sum(state.laid.get((rope.name, k), 0.0) for k in steps))
            else:
                out.append(length + sum(rope.run[k + 1].slack for k in steps))
        return out


def _apart(a: Sequence[float], b: Sequence[float]) -> float:
    """The distance [m], rounded as everywhere: a rope laid as drawn has neither slack nor pull."""
    x, y, z = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    return math.sqrt(x * x + y * y + z * z)


def _clipped(rig: Rig) -> list[tuple[str, str, tuple[Key, ...]]]:
    """Each piece of gear that is clipped to something, what that is, and what all has to be there for it."""
    return [
        (item.name, item.at, joined_by(rig, item.name))
        for item in rig.gear.values()
        if isinstance(item.at, str)
    ]


def _masses(rig: Rig, figures: Figures) -> list[tuple[str, float]]:
    """Every mass [kg] and the part that it is at: loads, gear and what joins it to its place."""
    out = [(load.name, load.mass.likely) for load in rig.loads.values()]
    for item in rig.gear.values():
        out.append((item.name, figures.likely(item.name, item.type, "mass", 0.0)))
        out += [(item.name, figures.likely(join, join, "mass", 0.0)) for join in joins_of(rig, item.name)]
    return out


def load_mass(rig: Rig, name: str) -> Range:
    """Mass [kg] of a load with its range."""
    return rig.loads[name].mass
