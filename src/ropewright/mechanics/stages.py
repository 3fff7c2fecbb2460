"""Simple, compound or complex, and why: how each sheave travels, and whether the stages multiply.

The words are contested in the trade, so the reason always goes with the word. Speeds are exact, like
the count: without friction motion is the same equations transposed (a taut rope keeps its length).
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

import numpy as np

from .count import RIGHT_ANGLE, Count
from .exact import solve_exactly
from .model import chord, wraps
from .motion import Motion

__all__ = ["Classified", "SystemClass", "Traveller", "classify"]

SystemClass = Literal["simple", "compound", "complex"]

TURNS = float(np.radians(30.0))
"""Wrap [rad] from which a moving contact counts as a sheave that does some work; below it the rope runs
straight on."""

FOLDS = float(np.radians(135.0))
"""Wrap [rad] at a fixed contact beyond which a rope counts as folded back on itself rather than led round
a corner."""

TIMES = (
    "",
    "at its speed",
    "twice as fast",
    "three times as fast",
    "four times as fast",
    "five times as fast",
)


@dataclass(frozen=True, slots=True)
class Traveller:
    """A point with travelling sheaves; ``speed`` in load speeds, negative where it runs against it."""

    node: int
    sheaves: int
    speed: Fraction


@dataclass(frozen=True, slots=True)
class Classified:
    """The word for a system and the reason for it, with the travellers from slow to fast."""

    kind: SystemClass
    reason: str
    travellers: tuple[Traveller, ...]

    @property
    def text(self) -> str:
        """For instance `compound: the sheave at grab moves with the load, …; 3 × 3 = 9`."""
        return f"{self.kind}: {self.reason}"


def classify(motion: Motion, counted: Count, name: Callable[[int], str] | None = None) -> Classified | None:
    """Class of a counted system, None where there is no count.

    ``name`` words a point, by default its name in the system. Simple: all travelling sheaves move with
    the load, at one speed. Compound: all with the load, at different speeds, each rope working on one
    stage, so that the stages multiply. Complex: one runs against the load, or a rope works on two stages.
    """
    if counted.ratio is None:
        return None
    call = name or (lambda node: motion.system.names[node])
    speeds = _speeds(motion, counted)
    travellers = _travellers(motion, speeds)
    if not travellers:
        return Classified("simple", "no sheave travels; fixed ones only turn the rope", ())
    said = _said(travellers, call, motion.system.load)
    against = any(t.speed < 0 for t in travellers)
    rates = sorted({abs(t.speed) for t in travellers})
    if not against and len(rates) == 1:
        return Classified("simple", said, travellers)
    across = _across_stages(motion, counted, speeds)
    if across is not None:
        two = f"{call(across[0])} and {call(across[1])}"
        why = (
            f"{said}; one rope works on {two} at once, which move differently, so the stages do not multiply"
        )
        return Classified("complex", why, travellers)
    product = _product(motion, counted, rates)
    if against:
        why = f"{said}; the stages still multiply, {product}, so some call it compound"
        return Classified("complex", why, travellers)
    return Classified("compound", f"{said}; {product}", travellers)


def _said(travellers: tuple[Traveller, ...], call: Callable[[int], str], load: int) -> str:
    """The travel of each sheave in words."""
    parts, before = list[str](), None
    for t in travellers:
        what = f"the {'sheave' if t.sheaves == 1 else f'{t.sheaves} sheaves'} at {call(t.node)}"
        move = "move" if t.sheaves > 1 else "moves"
        way = "with" if t.speed > 0 else "against"
        size = abs(t.speed)
        if t.node == load:
            parts.append(f"{what} {move.replace('move', 'ride')} on the load itself")
        elif t.speed == before:
            parts.append(f"{what} likewise")
        elif t.speed == 1:
            parts.append(f"{what} {move} with the load at its speed")
        else:
            times = (
                TIMES[int(size)] if size.denominator == 1 and size < len(TIMES) else f"{size} times as fast"
            )
            parts.append(f"{what} {move} {way} the load {times}")
        before = t.speed
    return ", ".join(parts)


def _product(motion: Motion, counted: Count, rates: list[Fraction]) -> str:
    """The stages' ratios multiplied: each stage's speed over the one before, the hand's over the last."""
    own = _own_hands(motion, counted)
    total = (counted.ratio or Fraction(0)) - own
    factors = [b / a for a, b in pairwise([Fraction(1), *rates, total]) if b != a]
    text = f"{' × '.join(str(f) for f in factors)} = {total}"
    return f"{text}, and {own} more in the hands of the load itself" if own else text


def _own_hands(motion: Motion, counted: Count) -> int:
    """What the hand strands that end in the load's own hands add to the count."""
    load = motion.system.load
    hands = {
        int(np.flatnonzero(motion.blocks.member == b)[-1])
        for b, kind in enumerate(motion.blocks.kind)
        if kind == "hand"
    }
    ends = {k for k in hands if motion.system.strands.end[k] == load}
    return sum(sign for k, sign in counted.pulls.at[load] if k in ends)


def _speeds(motion: Motion, counted: Count) -> dict[int, Fraction]:
    """Speed of every moving point in load speeds, + with the load; exact where the taut ropes settle it."""
    member = motion.blocks.member.tolist()
    rounded = counted.pulls
    movers = [n for n, kind in enumerate(rounded.kind) if kind in ("load", "moving")]
    slot = {n: k for k, n in enumerate(movers)}
    rows: dict[int, list[int]] = defaultdict(lambda: [0] * len(movers))
    for n in movers:
        for block, sign in rounded.row(n, member).items():
            if motion.blocks.kind[block] == "closed":
                rows[block][slot[n]] = sign
    lines: list[list[int]] = [*rows.values(), [int(n == motion.system.load) for n in movers]]
    solved = solve_exactly(lines, [0] * len(rows) + [1], len(movers))
    real = np.linalg.norm(motion.rates.velocity, axis=1)
    ways = _ways(motion, counted)
    out = {}
    for n in movers:
        exact = solved.values[slot[n]]
        if exact is None or exact <= 0 or solved.clash >= 0:
            exact = Fraction(float(real[n] / real[motion.system.load])).limit_denominator(12)
        out[n] = exact * ways.get(n, 1)
    return out


def _travellers(motion: Motion, speeds: dict[int, Fraction]) -> tuple[Traveller, ...]:
    unit, _ = chord(motion.frictionless.position[:, :, 0].T, motion.system.strands)
    wrap = wraps(motion.system, unit)
    sheaves: dict[int, int] = defaultdict(int)
    tension = motion.frictionless.tension[:, 0]
    for c, contact in enumerate(motion.system.contacts):
        before, after = motion.system.neighbours[c]
        if motion.stance.held[c] or contact.end or before < 0 or after < 0 or contact.node not in speeds:
            continue
        if wrap[c] >= TURNS and min(tension[before], tension[after]) > 0:
            sheaves[contact.node] += 1
    found = [Traveller(n, number, speeds[n]) for n, number in sheaves.items()]
    return tuple(sorted(found, key=lambda t: (abs(t.speed), t.speed < 0)))


def _across_stages(motion: Motion, counted: Count, speeds: dict[int, Fraction]) -> tuple[int, int] | None:
    """Two points that move differently on which one rope works, None where each rope works on one stage.

    A rope's end may be made fast to the next stage: that is how stages are coupled.
    """
    first = motion.system.strands.first
    for b, taut in enumerate(counted.pulls.taut):
        ids = np.flatnonzero(motion.blocks.member == b)
        touched = motion.system.contacts[int(first[ids[0]]) : int(first[ids[-1]]) + 2]
        nodes = [c.node for c in touched if not c.end and c.node in speeds]
        if not taut or not nodes:
            continue
        inner = nodes
        if len({speeds[n] for n in inner}) > 1 and touched[-1].node == nodes[-1] and not touched[-1].end:
            inner = nodes[:-1]
        if len({speeds[n] for n in inner}) > 1 and touched[0].node == nodes[0]:
            inner = nodes[1:]
        if len({speeds[n] for n in inner}) > 1:
            other = next(n for n in inner if speeds[n] != speeds[inner[0]])
            return inner[0], other
    return None


def _ways(motion: Motion, counted: Count) -> dict[int, int]:
    """+1 for points that travel with the load, −1 against it, told along the ropes.

    On a straight rope two points travel the same way if both go along it or both back; a rope led round
    a fixed corner is followed round it, one folded back is not. The rope made fast to the load is
    followed wherever it goes. The straightest way wins.
    """
    system, load = motion.system, motion.system.load
    unit, _ = chord(motion.frictionless.position[:, :, 0].T, system.strands)
    wrap = wraps(system, unit)
    own = _made_fast_to(motion, load)
    out = {load: 1}
    queue: list[tuple[float, int, int]] = []  # (bends, strand, sense)

    def leave(node: int, bends: float) -> None:
        for k, _ in counted.pulls.at[node]:
            along = float(unit[k] @ counted.pulls.axis[node])
            if abs(along) > RIGHT_ANGLE:
                heapq.heappush(queue, (bends, k, out[node] * (1 if along > 0 else -1)))

    leave(load, 0.0)
    seen: set[int] = set()
    while queue:
        bends, k, sense = heapq.heappop(queue)
        if k in seen:
            continue
        seen.add(k)
        for c in (int(system.strands.first[k]), int(system.strands.first[k]) + 1):
            node = system.contacts[c].node
            if counted.pulls.kind[node] == "moving" and node not in out:
                along = float(unit[k] @ counted.pulls.axis[node])
                if abs(along) > RIGHT_ANGLE:
                    out[node] = sense * (1 if along > 0 else -1)
                    leave(node, bends)
            elif counted.pulls.kind[node] in ("still", "fixed") and not motion.stance.held[c]:
                for j in system.neighbours[c]:
                    if j >= 0 and j not in seen:
                        follow = motion.blocks.member[k] in own or wrap[c] < FOLDS
                        cost = 0.0 if motion.blocks.member[k] in own else float(wrap[c])
                        heapq.heappush(queue, (bends + cost, j, sense if follow else -sense))
    return out


def _made_fast_to(motion: Motion, node: int) -> set[int]:
    """Closed blocks with an end made fast to a point."""
    s, out = motion.system.strands, set[int]()
    for b, kind in enumerate(motion.blocks.kind):
        ids = np.flatnonzero(motion.blocks.member == b)
        if kind == "closed" and node in (int(s.start[ids[0]]), int(s.end[ids[-1]])):
            out.add(b)
    return out
