"""What a rope's contacts in the rig file are for the mechanics: what holds, drags, takes them away."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterator, Mapping, Sequence
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


@dataclass(frozen=True, slots=True)
class Run:
    """A rope with what is left of its contacts, in the rig file and for the mechanics, and whether its hand
    only tends it.
    """

    rope: Rope
    wires: tuple[Wire, ...]
    touches: tuple[Touch, ...]
    idle: bool


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


def _changes(rig: Rig, rope: Rope) -> frozenset[Key]:
    """The components that change something about a rope when they are gone."""
    out: list[Key] = [("rope", rope.name, 0), ("hand", rope.name, len(rope.run) - 1)]
    for k, contact in enumerate(rope.run):
        out += taken_by(rig, rope.name, k, contact)
    return frozenset(out)


def _placed(touch: Touch, touches: Sequence[Touch], k: int) -> Touch:
    """A tail hangs at the contact before it, one at the start of a run at the contact behind it."""
    return touch if touch.node >= 0 else Touch(touches[k - 1 if k else 1].node, end="tail")


def _idle(rope: Rope, kept: Sequence[Wire], touches: Sequence[Touch]) -> bool:
    """Whether the hand only tends this rope: it has slack between its last fast hold and the hand."""
    fast = max((k for k, touch in enumerate(touches) if touch.holds == "both"), default=-1)
    begin = kept[fast].index + 1 if fast >= 0 else 0
    return any(contact.slack > 0 for contact in rope.run[begin:])


class Contacts:
    """Makes the mechanics' contacts of every rope for one choice of what is gone and of how friction is
    taken; ``loose`` are the ropes that nobody holds, nor any device on them open, ``steady`` those of which
    a hand keeps what it has.
    """

    def __init__(
        self,
        rig: Rig,
        catalogue: Catalogue,
        figures: Figures,
        lost: frozenset[Key],
        loose: frozenset[str],
        steady: frozenset[str],
        friction: FrictionEnd,
        braked: bool,
    ) -> None:
        self.rig, self.catalogue, self.figures, self.lost = rig, catalogue, figures, lost
        self.loose, self.steady, self.friction, self.braked = loose, steady, friction, braked

    def runs(self, node: Mapping[str, int], mass: NDArray[np.float64]) -> list[Run]:
        """Every rope's contacts as the mechanics takes them; a rope that is gone is left out."""
        made: dict[Hashable, Run | None] = self.figures.kept(self.rig, "runs", dict)
        heavy = mass.tolist()
        held = {node[name] for name in (*self.rig.points, *self.rig.loads, *self.rig.crews)}
        out = []
        for rope in self.rig.ropes.values():
            at = tuple([-1 if c.target is None else node[c.target] for c in rope.run])
            rides = tuple(
                [
                    0.0 if n in held else heavy[n]
                    for c, n in zip(rope.run, at, strict=True)
                    if c.verb == "grip"
                ]
            )
            off = (rope.name in self.loose, rope.name in self.steady)
            key = (rope.name, off, self.friction, self.braked, self._of(rope), at, rides)
            if key not in made:
                made[key] = self._run(rope, at, iter(rides))
            run = made[key]
            if run is not None:
                out.append(run)
        return out

    def _of(self, rope: Rope) -> frozenset[Key]:
        """What is lost of all that changes something about a rope."""
        if not self.lost:
            return self.lost
        return self.lost & self.figures.kept(self.rig, ("of", rope.name), lambda: _changes(self.rig, rope))

    def _run(self, rope: Rope, at: Sequence[int], rides: Iterator[float]) -> Run | None:
        if ("rope", rope.name, 0) in self.lost:
            return None
        kept: list[Wire] = []
        touches: list[Touch] = []
        riding = {k: next(rides) for k, contact in enumerate(rope.run) if contact.verb == "grip"}
        for k, loose in remaining([self._taken(rope, k) for k in range(len(rope.run))]):
            contact = rope.run[k]
            touch, forward, backward = self._touch(rope, contact, at[k], loose)
            if contact.verb == "grip" and touch.holds != "none":
                touch = replace(touch, slides=STAYS_PUT * GRAVITY * riding[k])
            kept.append(Wire(rope.name, k, contact, forward, backward))
            touches.append(touch)
        if len(touches) < 2:
            return None
        placed = tuple(_placed(touch, touches, k) for k, touch in enumerate(touches))
        return Run(rope, tuple(kept), placed, _idle(rope, kept, placed))

    def _taken(self, rope: Rope, k: int) -> bool:
        contact = rope.run[k]
        if contact.verb == "hand" and rope.name in self.loose:
            return True
        return not self.lost.isdisjoint(taken_by(self.rig, rope.name, k, contact))

    def _touch(
        self, rope: Rope, contact: Contact, where: int, loose: bool
    ) -> tuple[Touch, DragSource, DragSource]:
        none = DragSource()
        if contact.verb == "tail":
            return Touch(-1, end="tail"), none, none
        if loose:
            return Touch(where, end="tail"), none, none
        if contact.verb == "hand":
            return Touch(where, "both") if rope.name in self.steady else Touch(where, end="hand"), none, none
        if contact.verb == "tie":
            return Touch(where, "both"), none, none
        if contact.verb == "over":
            return self._over(contact, where)
        gone = ("hand", rope.name, len(rope.run) - 1) in self.lost
        released = let_go(rope, gone, rope.name in self.loose)
        tended = rope.run[-1].verb == "hand" and not released
        return self._gear(contact, where, released, tended, rope.name in self.steady)

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
        self, contact: Contact, where: int, released: bool, tended: bool, steady: bool
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
        holds = holds_at(self.rig, self.catalogue, contact, released, (self.braked or steady) and tended)
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
