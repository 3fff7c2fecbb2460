"""From a rig file's parts to the mechanics' points and contacts, whole or with something gone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.mechanics import GRAVITY, System
from ropewright.mechanics import Contact as Touch
from ropewright.mechanics import Rope as Line
from ropewright.quantity import Range
from ropewright.rig import Rig, Rope

from .components import Component, Key, joined_by, joins_of
from .contacts import Contacts, Wire
from .drags import GUESS, FrictionEnd, RangeEnd
from .figures import Figures
from .placing import positions
from .state import State

LONG_STRAND = 20.0
"""Drawn length [m] of a strand from which a rope's own weight is counted: below it the weight is under 2 %
of one person."""


@dataclass(frozen=True)
class Assembly:
    """A rig put together for the mechanics.

    ``node`` gives each part's point; ``wires`` runs parallel to ``system.contacts``; ``parent`` is what
    each piece of gear is still joined to; ``inputs`` are the figures used.
    """

    rig: Rig
    system: System
    node: Mapping[str, int]
    wires: tuple[Wire, ...]
    parent: Mapping[str, str]
    figures: Figures
    gone: frozenset[Key] = field(default_factory=frozenset)

    def strand_ends(self, strand: int) -> tuple[Wire, Wire]:
        """The contacts at a strand's start and end."""
        first = int(self.system.strands.first[strand])
        return self.wires[first], self.wires[first + 1]

    def state(self, system: System) -> State:
        """The positions and laid lengths of ``system``, a later state of this assembly's system."""
        at = {part: system.position[n] for part, n in self.node.items()}
        laid = {}
        for k in range(len(system.strands)):
            wire, _ = self.strand_ends(k)
            laid[wire.rope, wire.index] = float(system.strands.laid[k])
        return State(at, laid)


def assemble(
    rig: Rig,
    catalogue: Catalogue,
    *,
    figures: Figures | None = None,
    gone: Iterable[Component] = (),
    hands_off: bool = False,
    friction: FrictionEnd = "likely",
    braked: bool = False,
    stretch: RangeEnd = "likely",
    state: State | None = None,
    load: str = "",
) -> Assembly:
    """Put a rig together.

    ``gone``: components that have failed; ``hands_off``: nobody holds a rope or a device open;
    ``friction``: at which end of its range friction is taken; ``braked``: a hand on the rope keeps a
    braking device from running, as when nothing moves (whether the hand can is asked with friction);
    ``stretch``: at which end of its range ropes' stiffness is taken; ``state``: where things are, as drawn
    if left out; ``load``: which load is to be moved, by default the one hauled, lowered, or the first.
    """
    lost = frozenset(c.key for c in gone)
    figures = figures or Figures(rig, catalogue)
    builder = _Builder(rig, figures, lost, stretch)
    parent = builder.joined()
    node, names = builder.nodes(parent)
    mass = builder.masses(node, len(names))
    wires, ropes = Contacts(rig, catalogue, figures, lost, hands_off, friction, braked).runs(node, mass)
    position = positions(rig, node, len(names), parent, state)
    lines = builder.lines(ropes, wires, position, state)
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
    return Assembly(rig, system, node, tuple(w for run in wires for w in run), parent, figures, lost)


class _Builder:
    def __init__(self, rig: Rig, figures: Figures, lost: frozenset[Key], stretch: RangeEnd) -> None:
        self.rig, self.figures, self.lost, self.stretch = rig, figures, lost, stretch

    def joined(self) -> dict[str, str]:
        """What each piece of gear is still joined to: not through a broken join, nor to or from gear that
        is gone.
        """
        return {
            item.name: item.at
            for item in self.rig.gear.values()
            if isinstance(item.at, str) and self.lost.isdisjoint(joined_by(self.rig, item.name))
        }

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
        out = np.zeros(count)
        for load in self.rig.loads.values():
            out[node[load.name]] += load.mass.likely
        for item in self.rig.gear.values():
            out[node[item.name]] += self.figures.likely(item.name, item.type, "mass", 0.0)
            for join in joins_of(self.rig, item.name):
                out[node[item.name]] += self.figures.likely(join, join, "mass", 0.0)
        return out

    def lines(
        self,
        ropes: list[tuple[Rope, list[Touch]]],
        wires: list[list[Wire]],
        position: NDArray[np.float64],
        state: State | None,
    ) -> list[Line]:
        out = []
        for (rope, touches), kept in zip(ropes, wires, strict=True):
            touches = [self._placed(t, touches, k) for k, t in enumerate(touches)]
            drawn = [float(np.linalg.norm(position[b.node] - position[a.node])) for a, b in pairwise(touches)]
            laid = self._laid(rope, kept, drawn, state)
            used = self.figures.get(rope.name, rope.type, "stiffness").value
            stiffness = GUESS["stiffness"] if used is None else getattr(used, self.stretch)
            weight = 0.0
            if max(drawn) >= LONG_STRAND:
                weight = GRAVITY * self.figures.likely(rope.name, rope.type, "mass", 0.0)
            idle = self._idle(rope, kept, touches)
            out.append(Line(rope.name, tuple(touches), tuple(laid), stiffness, weight, idle))
        return out

    @staticmethod
    def _idle(rope: Rope, kept: list[Wire], touches: list[Touch]) -> bool:
        """Whether the hand only tends this rope: it has slack between its last fast hold and the hand."""
        fast = max((k for k, touch in enumerate(touches) if touch.holds == "both"), default=-1)
        begin = kept[fast].index + 1 if fast >= 0 else 0
        return any(contact.slack > 0 for contact in rope.run[begin:])

    @staticmethod
    def _placed(touch: Touch, touches: list[Touch], k: int) -> Touch:
        """A tail hangs at the contact before it, one at the start of a run at the contact behind it."""
        if touch.node >= 0:
            return touch
        return Touch(touches[k - 1 if k else 1].node, end="tail")

    def _laid(self, rope: Rope, kept: list[Wire], drawn: list[float], state: State | None) -> list[float]:
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


def load_mass(rig: Rig, name: str) -> Range:
    """Mass [kg] of a load with its range."""
    return rig.loads[name].mass
