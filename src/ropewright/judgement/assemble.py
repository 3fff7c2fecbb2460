"""From a rig file's parts to the mechanics' points and contacts, whole or with something gone."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue, Holding
from ropewright.mechanics import GRAVITY, Drag, Holds, System
from ropewright.mechanics import Contact as Touch
from ropewright.mechanics import Rope as Line
from ropewright.quantity import Range
from ropewright.rig import Contact, Rig, Rope

from .components import Component, joins_of
from .drags import GUESS, DragSource, FrictionEnd, RangeEnd
from .figures import Figures
from .placing import positions
from .state import State

LONG_STRAND = 20.0
"""Drawn length [m] of a strand from which a rope's own weight is counted: below it the weight is under 2 %
of one person."""

STAYS_PUT = 2.0
"""A grab is taken to stay where it was put until pulled with this many times its own and its gear's
weight: this project's own planning figure; without it a grab would slide down its rope by itself once
the haul is slack."""


@dataclass(frozen=True, slots=True)
class Wire:
    """What a contact of the mechanics is in the rig file."""

    rope: str
    index: int
    contact: Contact
    forward: DragSource
    backward: DragSource


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
    gone: frozenset[tuple[str, str, int]] = field(default_factory=frozenset)

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
    builder = _Builder(rig, catalogue, figures, lost, hands_off, friction, braked, stretch)
    parent = builder.joined()
    node, names = builder.nodes(parent)
    mass = builder.masses(node, len(names))
    wires, ropes = builder.runs(node, mass)
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
    def __init__(
        self,
        rig: Rig,
        catalogue: Catalogue,
        figures: Figures,
        lost: frozenset[tuple[str, str, int]],
        hands_off: bool,
        friction: FrictionEnd,
        braked: bool,
        stretch: RangeEnd,
    ) -> None:
        self.rig, self.catalogue, self.figures, self.lost = rig, catalogue, figures, lost
        self.hands_off, self.friction, self.braked = hands_off, friction, braked
        self.stretch = stretch

    def joined(self) -> dict[str, str]:
        """What each piece of gear is still joined to: not through a broken join, nor to or from gear that
        is gone.
        """
        out = {}
        for item in self.rig.gear.values():
            if (
                not isinstance(item.at, str)
                or ("gear", item.name, 0) in self.lost
                or ("gear", item.at, 0) in self.lost
            ):
                continue
            count = len(joins_of(self.rig, item.name))
            if any(("join", item.name, k) in self.lost for k in range(1, count + 1)):
                continue
            out[item.name] = item.at
        return out

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

    # --- contacts

    def runs(
        self, node: Mapping[str, int], mass: NDArray[np.float64]
    ) -> tuple[list[list[Wire]], list[tuple[Rope, list[Touch]]]]:
        """Every rope's contacts as the mechanics takes them; a rope that is gone is left out."""
        wires: list[list[Wire]] = []
        ropes: list[tuple[Rope, list[Touch]]] = []
        for rope in self.rig.ropes.values():
            if ("rope", rope.name, 0) in self.lost:
                continue
            kept: list[Wire] = []
            touches: list[Touch] = []
            last = len(rope.run) - 1
            for k, contact in enumerate(rope.run):
                touch, forward, backward = self._touch(rope, k, contact, node, k in (0, last))
                if touch is None:
                    continue
                if contact.verb == "grip" and touch.holds != "none":
                    touch = replace(
                        touch, slides=STAYS_PUT * GRAVITY * self._rides(contact.target or "", node, mass)
                    )
                kept.append(Wire(rope.name, k, contact, forward, backward))
                touches.append(touch)
            if len(touches) > 1:
                wires.append(kept)
                ropes.append((rope, touches))
        return wires, ropes

    def _gone(self, rope: Rope, k: int, contact: Contact) -> bool:
        target = contact.target or ""
        kind = {"tie": "tie", "hand": "hand"}.get(contact.verb, "")
        if kind and (kind, rope.name, k) in self.lost:
            return True
        if contact.verb == "hand" and self.hands_off:
            return True
        if target in self.rig.gear:
            return ("gear", target, 0) in self.lost or ("sheave", target, contact.sheave) in self.lost
        return False

    def _touch(
        self, rope: Rope, k: int, contact: Contact, node: Mapping[str, int], at_end: bool
    ) -> tuple[Touch | None, DragSource, DragSource]:
        none = DragSource()
        if contact.verb == "tail":
            return Touch(-1, end="tail"), none, none
        assert contact.target is not None
        where = node[contact.target]
        if self._gone(rope, k, contact):
            return (Touch(where, end="tail") if at_end else None), none, none
        if contact.verb == "hand":
            return Touch(where, end="hand"), none, none
        if contact.verb == "tie":
            return Touch(where, "both"), none, none
        if contact.verb == "over":
            return self._over(contact, where)
        return self._gear(
            contact, where, self._let_go(rope), rope.run[-1].verb == "hand" and not self._let_go(rope)
        )

    def _let_go(self, rope: Rope) -> bool:
        """Whether no hand is on a rope any more, so that devices held open on it close."""
        if rope.run[-1].verb != "hand":
            return self.hands_off
        return self.hands_off or ("hand", rope.name, len(rope.run) - 1) in self.lost

    def _over(self, contact: Contact, where: int) -> tuple[Touch, DragSource, DragSource]:
        place = self.rig.points.get(contact.target or "")
        if place is None:
            return Touch(where), DragSource(), DragSource()
        kind = place.protection or place.surface or ""
        figure = self.figures.get(place.name, kind, "friction")
        source = DragSource("capstan", figure, GUESS["friction"])
        drag = self._pick(source)
        return Touch(where, "none", drag, drag), source, source

    def _gear(
        self, contact: Contact, where: int, let_go: bool, tended: bool
    ) -> tuple[Touch, DragSource, DragSource]:
        item = self.rig.gear[contact.target or ""]
        kind = self.catalogue[item.type]
        forward = backward = DragSource()
        if kind.family in ("pulley", "join"):
            figure = self.figures.get(item.name, item.type, "efficiency")
            forward = backward = DragSource("turn", figure, GUESS["efficiency"])
        elif kind.family == "device":
            forward = DragSource(
                "fixed", self.figures.get(item.name, item.type, "efficiency"), GUESS["efficiency"]
            )
            backward = forward
            if "ratio" in kind.figures:
                backward = DragSource(
                    "ratio", self.figures.get(item.name, item.type, "ratio"), GUESS["ratio"]
                )
        state = item.state
        if contact.reversed and kind.holding.bites and state == "locked-off":
            state = (
                "running"  # its lock works on a cam that a rope laid in the wrong way round does not press
            )
        holds = self._holds(contact, kind.holding, state, let_go)
        if holds == "none" and self.braked and tended and "ratio" in kind.figures:
            holds = "backward"
        slips = math.inf
        if holds != "none" and "slips" in kind.figures:
            slips = self._slips(item.name, item.type)
        if contact.reversed:
            forward, backward = backward, forward
            holds = {"backward": "forward", "forward": "backward"}.get(holds, holds)  # type: ignore[assignment]
        touch = Touch(
            where,
            holds,
            self._pick(forward),
            self._pick(backward),
            slips=slips,
            opens=(kind.holding.opens_under_load or kind.holding.follows) and holds != "both",
        )
        return touch, forward, backward

    @staticmethod
    def _holds(contact: Contact, rule: Holding, state: str, let_go: bool) -> Holds:
        if state == "locked-off" and rule.locks_off:
            return "both"
        if state == "in-hand" and not let_go and not rule.needs_hand and contact.verb == "through":
            return "none"
        return "backward" if rule.bites or rule.one_way else "none"

    def _slips(self, part: str, type_name: str) -> float:
        value = self.figures.get(part, type_name, "slips").value
        return math.inf if value is None else value.low

    def _pick(self, source: DragSource) -> Drag:
        return source.at(self.friction)

    def _rides(self, gear: str, node: Mapping[str, int], mass: NDArray[np.float64]) -> float:
        """Mass [kg] that rides on a rope with a grab: nothing where it is clipped to a person, a place or
        a load.
        """
        held = {node[name] for name in (*self.rig.points, *self.rig.loads, *self.rig.crews)}
        return 0.0 if node[gear] in held else float(mass[node[gear]])

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
        """A tail hangs at the contact before it."""
        if touch.node >= 0:
            return touch
        return Touch(touches[k - 1].node, end="tail")

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
