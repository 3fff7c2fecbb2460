"""What a rope's contacts in the rig file are for the mechanics: what holds, drags, takes them away."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue, Holding
from ropewright.mechanics import GRAVITY, Drag, Holds
from ropewright.mechanics import Contact as Touch
from ropewright.rig import Contact, Rig, Rope

from .components import Key
from .drags import GUESS, DragSource, FrictionEnd
from .figures import Figures

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


def taken_by(rig: Rig, rope: str, k: int, contact: Contact) -> tuple[Key, ...]:
    """The components each of which takes contact ``k`` of a rope away when it is gone."""
    out: list[Key] = []
    if contact.verb in ("tie", "hand"):
        out.append((contact.verb, rope, k))
    if contact.target in rig.gear:
        out += [("gear", contact.target or "", 0), ("sheave", contact.target or "", contact.sheave)]
    return tuple(out)


def remaining(taken: Sequence[bool]) -> list[tuple[int, bool]]:
    """Which contacts of a run are left, and whether only a loose end is: one taken from an end leaves that,
    one from between leaves nothing.
    """
    last = len(taken) - 1
    return [(k, gone) for k, gone in enumerate(taken) if not gone or k in (0, last)]


def let_go(rope: Rope, hand_gone: bool, hands_off: bool) -> bool:
    """Whether no hand is on a rope any more, so that devices held open on it close; ``hand_gone``: the hand
    at its end has let go.
    """
    return hands_off or (hand_gone and rope.run[-1].verb == "hand")


def holds_at(
    rig: Rig, catalogue: Catalogue, contact: Contact, released: bool, braking: bool = False
) -> Holds:
    """What a contact holds that is no end: a tie both ways, a grab or device as it is rigged, else nothing.

    ``released``: no hand is on the rope; ``braking``: the hand on it keeps a braking device from running.
    """
    if contact.verb == "tie":
        return "both"
    item = rig.gear.get(contact.target or "")
    if item is None or contact.verb not in ("through", "grip"):
        return "none"
    kind = catalogue[item.type]
    holds = _holds(contact, kind.holding, item.state, released)
    if holds == "none" and braking and "ratio" in kind.figures:
        holds = "backward"
    if contact.reversed and holds == "backward":
        return "forward"
    return holds


def _holds(contact: Contact, rule: Holding, state: str, released: bool) -> Holds:
    if state == "locked-off" and rule.locks_off and not (contact.reversed and rule.bites):
        return "both"  # a lock on a cam counts only where the rope was laid in the right way round
    if state == "in-hand" and not released and not rule.needs_hand and contact.verb == "through":
        return "none"
    return "backward" if rule.bites or rule.one_way else "none"


class Contacts:
    """Makes the mechanics' contacts of every rope for one choice of what is gone and of how friction is
    taken.
    """

    def __init__(
        self,
        rig: Rig,
        catalogue: Catalogue,
        figures: Figures,
        lost: frozenset[Key],
        hands_off: bool,
        friction: FrictionEnd,
        braked: bool,
    ) -> None:
        self.rig, self.catalogue, self.figures, self.lost = rig, catalogue, figures, lost
        self.hands_off, self.friction, self.braked = hands_off, friction, braked

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
            for k, loose in remaining([self._taken(rope, k) for k in range(len(rope.run))]):
                contact = rope.run[k]
                touch, forward, backward = self._touch(rope, contact, node, loose)
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

    def _taken(self, rope: Rope, k: int) -> bool:
        contact = rope.run[k]
        if contact.verb == "hand" and self.hands_off:
            return True
        return not self.lost.isdisjoint(taken_by(self.rig, rope.name, k, contact))

    def _touch(
        self, rope: Rope, contact: Contact, node: Mapping[str, int], loose: bool
    ) -> tuple[Touch, DragSource, DragSource]:
        none = DragSource()
        if contact.verb == "tail":
            return Touch(-1, end="tail"), none, none
        assert contact.target is not None
        where = node[contact.target]
        if loose:
            return Touch(where, end="tail"), none, none
        if contact.verb == "hand":
            return Touch(where, end="hand"), none, none
        if contact.verb == "tie":
            return Touch(where, "both"), none, none
        if contact.verb == "over":
            return self._over(contact, where)
        released = let_go(rope, ("hand", rope.name, len(rope.run) - 1) in self.lost, self.hands_off)
        return self._gear(contact, where, released, rope.run[-1].verb == "hand" and not released)

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
        self, contact: Contact, where: int, released: bool, tended: bool
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
        holds = holds_at(self.rig, self.catalogue, contact, released, self.braked and tended)
        slips = math.inf
        if holds != "none" and "slips" in kind.figures:
            slips = self._slips(item.name, item.type)
        if contact.reversed:
            forward, backward = backward, forward
        touch = Touch(
            where,
            holds,
            self._pick(forward),
            self._pick(backward),
            slips=slips,
            opens=(kind.holding.opens_under_load or kind.holding.follows) and holds != "both",
        )
        return touch, forward, backward

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
