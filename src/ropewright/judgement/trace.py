"""The count as written on a whiteboard: tension by tension from the hand, the force beside it.

The order is the one of the board: the hand's strand, back along its rope sheave by sheave, then the
next rope whose tension follows from a point where all other pulls are known, until the load is reached.
The steps are data; `render` makes plain lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, Protocol

import numpy as np

from ropewright.mechanics.count import Count, count
from ropewright.mechanics.model import Array, System, chord
from ropewright.mechanics.motion import Motion
from ropewright.mechanics.stages import Classified, classify
from ropewright.quantity import Units, show_force

__all__ = ["Force", "Names", "PlainNames", "Step", "StepKind", "Trace", "render", "trace"]

StepKind = Literal["hand", "turn", "point", "together", "load", "takes", "result"]

STRAIGHT = 0.98
"""Cosine of the wrap above which a rope is said to run straight on (a wrap of some 11°)."""

PARALLEL = 0.97
"""Share of the counted pull below which the board also gives an anchor's pull as the ropes really lie."""


class Names(Protocol):
    """What points and contacts are called on the board."""

    def node(self, node: int) -> str:
        """The name of a point: `handled`, `beam`."""
        ...

    def contact(self, contact: int) -> str:
        """What the rope does at a contact (flat number): `through twin.1`, `grip handled`."""
        ...


@dataclass(frozen=True, slots=True)
class PlainNames:
    """Names straight from a system, for rigs that no file describes."""

    system: System

    def node(self, node: int) -> str:
        """The point's name in the system."""
        return self.system.names[node]

    def contact(self, contact: int) -> str:
        """A phrase made from what the contact holds."""
        here = self.system.contacts[contact]
        verb = here.end or {"none": "through", "both": "tie"}.get(
            here.holds, "device at" if here.opens else "grip"
        )
        return f"{verb} {self.system.names[here.node]}"


@dataclass(frozen=True, slots=True)
class Force:
    """A force with friction [N] and what it is: `in`, `out`, `on handled`."""

    what: str
    newtons: float


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the board.

    ``text`` holds the counted tensions; ``units`` is what the line arrives at, in pulls of one hand;
    ``forces`` are the same things with friction. ``node``, ``contact`` and ``strand`` point into the
    system, −1 where the line is about none.
    """

    kind: StepKind
    text: str
    units: Fraction | None
    forces: tuple[Force, ...] = ()
    node: int = -1
    contact: int = -1
    strand: int = -1


@dataclass(frozen=True)
class Trace:
    """A whole board: the steps, the count they lead to and the class of the system.

    ``ideal`` and ``actual`` are weight lifted over the pull of one hand, without friction in the real
    geometry and with it.
    """

    steps: tuple[Step, ...]
    counted: Count
    classified: Classified | None
    ideal: float
    actual: float


def trace(motion: Motion, names: Names | None = None, advantage: tuple[float, float] | None = None) -> Trace:
    """Write the board for a solved motion.

    ``advantage``: ideal and with friction, where they are known of the load alone; left out, all that moves
    counts as lifted. Never raises: where nothing can be counted, the last step says why.
    """
    counted = count(motion)
    call = names or PlainNames(motion.system)
    lifted = float(motion.system.weight @ motion.rates.velocity[:, 2]) * motion.direction
    board = _Board(motion, counted, call)
    ideal, actual = advantage or (
        lifted / float(motion.frictionless.hand[0]),
        lifted / float(motion.real.hand[0]),
    )
    if counted.ratio is None:
        board.hands()
    else:
        board.ropes()
        board.anchors()
    board.result(ideal, actual)
    return Trace(tuple(board.steps), counted, classify(motion, counted, call.node), ideal, actual)


def render(board: Trace, units: Units = "both") -> list[str]:
    """The board as plain lines: numbered steps, under each the forces with friction."""
    lines = []
    for number, step in enumerate(board.steps, 1):
        lines.append(f"{number:>2}. {step.text}")
        if step.forces:
            said = ", ".join(f"{show_force(f.newtons, units)} {f.what}".rstrip() for f in step.forces)
            lines.append(f"      with friction: {said}")
    if board.classified is not None:
        lines.append(f"    {board.classified.text}")
    lines.extend(f"    {note}" for note in board.counted.notes)
    return lines


def _t(units: Fraction) -> str:
    return f"{units} T"


def _sum_text(terms: list[Fraction]) -> str:
    """`1 T + 2 T − 1 T`."""
    first, *rest = sorted(terms, key=lambda u: u < 0)
    return _t(first) + "".join(f" {'+' if u > 0 else '−'} {_t(abs(u))}" for u in rest)


class _Board:
    """Collects the steps of one trace."""

    def __init__(self, motion: Motion, counted: Count, names: Names) -> None:
        self.motion, self.counted, self.names = motion, counted, names
        self.system, self.s = motion.system, motion.system.strands
        self.member = motion.blocks.member
        self.tension = motion.real.tension[:, 0]
        self.unit, _ = chord(motion.real.position[:, :, 0].T, self.s)
        self.steps: list[Step] = []
        self.known = {b for b, units in enumerate(counted.blocks) if not units}

    def hands(self) -> None:
        """Every hand, where that is all that can be said."""
        for block, kind in enumerate(self.motion.blocks.kind):
            if kind == "hand":
                self._hand(block)

    def ropes(self) -> None:
        """Every rope in the order in which its tension becomes known, then the load."""
        for block, kind in enumerate(self.motion.blocks.kind):
            if kind == "hand":
                self._hand(block)
                self._walk(block, self._run(block)[-1])
        while True:
            waiting = [b for b in range(len(self.counted.blocks)) if b not in self.known]
            if not waiting:
                break
            if not self._solve_a_point():
                self._solve_together(waiting[0])
        self._load()

    def anchors(self) -> None:
        """What each fixed point takes, hands apart."""
        pulled = {int(c.node) for c in self.system.contacts if c.end == "hand"}
        for total in self.counted.sums:
            if total.kind != "fixed" or total.net <= 0 or total.node in pulled:
                continue
            strands = [k for k, _ in self.counted.pulls.at[total.node]]
            pulls = [self._pull(total.node, k) for k in strands]
            spread = self._size(
                [
                    p * float(self.counted.units[k] or 0) / max(float(self.tension[k]), 1e-9)
                    for k, p in zip(strands, pulls, strict=True)
                ]
            )
            text = f"{self.names.node(total.node)} takes {_t(total.net)}"
            if spread < PARALLEL * float(total.net):
                text += f" were its ropes parallel, {spread:.2f} T as they lie"
            self.steps.append(Step("takes", text, total.net, (Force("", self._size(pulls)),), total.node))

    def result(self, ideal: float, actual: float) -> None:
        ratio, load = self.counted.ratio, self.names.node(self.system.load)
        if ratio is None:
            self.steps.append(Step("result", f"no count: {self.counted.why}", None, (), self.system.load))
            return
        if self.motion.direction > 0:
            text = f"so 1 T of pull moves {_t(ratio)} of load: counted {self.counted.label}"
            figures = f"ideal {ideal:.2f}, with friction {actual:.2f}"
        else:  # friction helps a hand that lowers: the count alone would look like the whole answer
            text = (
                f"so without friction 1 T at the hand holds {_t(ratio)} of load: counted {self.counted.label}"
            )
            figures = f"ideal {ideal:.2f}; friction helps, with it 1 T at the hand holds {actual:.2f} T"
        self.steps.append(Step("result", f"{text} ({figures})", ratio, (), self.system.load))
        own = self._own_hands()
        if 0 < own < ratio:
            less = ratio - own
            said = f"{_t(Fraction(own))} of it is the strand in {load}'s own hands, which carries {load} too"
            ground = f"pulled from the ground the same reeving counts {less.numerator}:{less.denominator}"
            self.steps.append(Step("result", f"{said}: {ground}", less, (), self.system.load))

    def _hand(self, block: int) -> None:
        strand = int(np.flatnonzero(self.member == block)[-1])
        node = int(self.s.end[strand])
        verb = "pulls" if self.motion.direction > 0 else "holds"
        text = f"the hand at {self.names.node(node)} {verb} 1 T"
        force = Force("", float(self.tension[strand]))
        self.steps.append(Step("hand", text, Fraction(1), (force,), node, self._run(block)[-1], strand))

    def _walk(self, block: int, origin: int) -> None:
        """Follow a rope both ways from the contact where its tension became known."""
        self.known.add(block)
        run = self._run(block)
        at = run.index(origin)
        for c in run[at + 1 : -1]:
            self._turn(c, backward=False)
        for c in run[1:at][::-1]:
            self._turn(c, backward=True)

    def _turn(self, c: int, *, backward: bool) -> None:
        """A sheave or bend: one in, one out."""
        into, out = self.system.neighbours[c][::-1] if backward else self.system.neighbours[c]
        if into < 0 or out < 0:
            return
        node, units = self.system.contacts[c].node, self.counted.units[into] or Fraction(0)
        where = self.names.node(node)
        along = float(self.unit[into] @ self.unit[out])
        signs = dict(self.counted.pulls.at[node])
        moving = self.counted.pulls.kind[node] in ("load", "moving")
        both = abs(signs[into] + signs[out]) if moving else 2 * int(along < 0)
        passed = f"{self.names.contact(c)}: {_t(units)} in, {_t(units)} out"
        if both:
            text = f"{passed}, so {_t(both * units)} on {where}" + ("" if moving else ", which stays")
        elif along > STRAIGHT:
            text = f"{passed}, straight on: nothing on {where}"
        else:
            text = f"{passed}, {'one with and one against its motion' if moving else 'led round a corner'}"
        forces = (
            Force("in", float(self.tension[into])),
            Force("out", float(self.tension[out])),
            Force(f"on {where}", self._size([self._pull(node, into), self._pull(node, out)])),
        )
        self.steps.append(Step("turn", text, both * units, forces, node, c, out))

    def _solve_a_point(self) -> bool:
        """The next point where all pulls but one rope's are known, moving points before those that stand."""
        for wanted in ("moving", "still"):
            for node, kind in enumerate(self.counted.pulls.kind):
                waiting = {int(self.member[k]) for k, _ in self.counted.pulls.at[node]} - self.known
                if kind == wanted and len(waiting) == 1:
                    self._point(node, waiting.pop())
                    return True
        return False

    def _point(self, node: int, block: int) -> None:
        """A point whose known pulls give the tension of one more rope."""
        strands = [k for k, _ in self.counted.pulls.at[node] if self.member[k] == block]
        units, strand = self.counted.blocks[block] or Fraction(0), strands[0]
        contact = self._reach(node, strand)
        terms = self._terms(node, block)
        if sum(terms) < 0:
            terms = [-u for u in terms]
        total = sum(terms, Fraction(0))
        where = self._beside(node, strand)
        if total == units and len(strands) == 1:
            said = f"{_sum_text(terms)} = {_t(units)} {where}" if len(terms) > 1 else f"{_t(units)} {where}"
        elif terms and total == len(strands) * units:
            said = f"{_sum_text(terms)} shared by {len(strands)} strands, {_t(units)} each"
        else:
            said = f"{_t(units)} {where}"
        force = Force("", float(self.tension[strand]))
        text = f"{self.names.contact(contact)}: {said}"
        self.steps.append(Step("point", text, units, (force,), node, contact, strand))
        self._walk(block, contact)

    def _solve_together(self, block: int) -> None:
        """A rope whose tension follows only from several points at once."""
        strand = int(np.flatnonzero(self.member == block)[0])
        units = self.counted.blocks[block] or Fraction(0)
        ends = (self.names.node(int(self.s.start[strand])), self.names.node(int(self.s.end[strand])))
        text = f"several points taken together: {_t(units)} on the strand from {ends[0]} to {ends[1]}"
        force = Force("", float(self.tension[strand]))
        self.steps.append(Step("together", text, units, (force,), -1, int(self.s.first[strand]), strand))
        self._walk(block, int(self.s.first[strand]))

    def _load(self) -> None:
        node = self.system.load
        total = self.counted.sum_at(node)
        if total is None:
            return
        terms = self._terms(node, -1)
        said = f"{_sum_text(terms)} = {_t(total.net)}" if len(terms) > 1 else _t(total.net)
        force = Force("in all", self._size([self._pull(node, k) for k, _ in self.counted.pulls.at[node]]))
        text = f"{self.names.node(node)}: {said} {'lift' if self.motion.direction > 0 else 'hold'} it"
        self.steps.append(Step("load", text, total.net, (force,), node))

    def _terms(self, node: int, but: int) -> list[Fraction]:
        """Signed units on a point, contact by contact, leaving out one block; no zeros."""
        by_contact: dict[int, Fraction] = {}
        for k, sign in self.counted.pulls.at[node]:
            if self.member[k] != but:
                c = self._reach(node, k)
                by_contact[c] = by_contact.get(c, Fraction(0)) + sign * (self.counted.units[k] or 0)
        return [u for _, u in sorted(by_contact.items()) if u]

    def _run(self, block: int) -> list[int]:
        """The flat contacts of a block, both ends included, in the order of the run."""
        ids = np.flatnonzero(self.member == block)
        return list(range(int(self.s.first[ids[0]]), int(self.s.first[ids[-1]]) + 2))

    def _pull(self, node: int, strand: int) -> Array:
        """Pull of a strand on a point with friction, (3,) [N]."""
        sign = 1.0 if self.s.start[strand] == node else -1.0
        return np.asarray(sign * self.tension[strand] * self.unit[strand])

    @staticmethod
    def _size(pulls: list[Array]) -> float:
        return float(np.linalg.norm(np.sum(pulls, axis=0)))

    def _reach(self, node: int, strand: int) -> int:
        """The flat contact by which a strand reaches a point."""
        first = int(self.s.first[strand])
        return first if self.system.contacts[first].node == node else first + 1

    def _beside(self, node: int, strand: int) -> str:
        """Where a strand lies seen from a point: `below it, on the strand to load`."""
        away = self.unit[strand] if self.s.start[strand] == node else -self.unit[strand]
        far = int(self.s.end[strand] if self.s.start[strand] == node else self.s.start[strand])
        side = "" if abs(away[2]) < 0.7 else "above it, " if away[2] > 0 else "below it, "
        return f"{side}on the strand to {self.names.node(far)}"

    def _own_hands(self) -> int:
        """Net number of hand strands that end in the load's own hands and lift it."""
        load = self.system.load
        ends = {step.strand for step in self.steps if step.kind == "hand" and step.node == load}
        return sum(sign for k, sign in self.counted.pulls.at[load] if k in ends)
