"""The count: the whole-number ratio that an instructor gets as if all ropes ran parallel.

At each moving point every pull is rounded to with (+1) or against (−1) that point's motion. With the
hand's pull as one unit, each moving point but the load then says "what pulls on me cancels", one
equation in the tensions of the blocks (strands that share rope). What is left on the load is the count.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

import numpy as np

from .exact import solve_exactly
from .model import Array, chord
from .motion import Motion

__all__ = ["Count", "PointSum", "Pulls", "count", "pulls"]

RIGHT_ANGLE = 0.05
"""|cos| below which a pull counts as at right angles to the motion (within 3° of it), and so as no help
and no hindrance."""

SLOWEST = 0.02
"""Speed, as a share of the load's, below which a point counts as standing still: a sling that only swings
with the ropes."""

SLACK = 1e-6
"""Tension, as a share of all that hangs in the rig, below which a block counts as slack."""

PointKind = Literal["load", "moving", "still", "fixed"]


@dataclass(frozen=True, slots=True)
class Pulls:
    """Every pull of a moving rig, rounded.

    ``kind`` (n,) of each point; ``axis`` (n, 3) unit vector along which the pulls on it are counted:
    the motion as the load rises; on a point that stands, its strongest pull or the sum of them; zeros
    where there is none. ``at`` gives for each point its pulls as (strand, +1 with or −1 against or 0
    across). ``taut`` (B,): the blocks that carry anything.
    """

    kind: tuple[PointKind, ...]
    axis: Array
    at: tuple[tuple[tuple[int, int], ...], ...]
    taut: tuple[bool, ...]

    def row(self, node: int, member: Sequence[int]) -> dict[int, int]:
        """Sum of the signs at a point by block, ``member`` (S,) being each strand's block."""
        out: dict[int, int] = defaultdict(int)
        for strand, sign in self.at[node]:
            out[member[strand]] += sign
        return dict(out)


@dataclass(frozen=True, slots=True)
class PointSum:
    """The units on one point: ``toward`` pull with its motion, ``back`` against it.

    On a point that stands, its strongest pull or the sum of them takes the place of the motion.
    """

    node: int
    kind: PointKind
    toward: Fraction
    back: Fraction

    @property
    def net(self) -> Fraction:
        """What is left over: the count on the load, what an anchor takes, 0 on a moving point."""
        return self.toward - self.back

    @property
    def text(self) -> str:
        """For instance `3 with, 3 against`."""
        return f"{self.toward} with, {self.back} against"


@dataclass(frozen=True)
class Count:
    """What is counted; ``ratio`` is None where there is no count, and ``why`` then says why.

    ``units`` (S,) is each strand's tension in pulls of one hand, None where the count doesn't tell;
    ``blocks`` (B,) the same for the blocks; ``sums`` of every point whose pulls are all known;
    ``hands`` how many hands pull alike; ``notes`` are sentences to print beside the count.
    """

    ratio: Fraction | None
    why: str
    units: tuple[Fraction | None, ...]
    blocks: tuple[Fraction | None, ...]
    sums: tuple[PointSum, ...]
    hands: int
    notes: tuple[str, ...]
    pulls: Pulls

    @property
    def label(self) -> str:
        """For instance `9:1` or `5:2`; `no count` where there is none."""
        if self.ratio is None:
            return "no count"
        return f"{self.ratio.numerator}:{self.ratio.denominator}"

    def sum_at(self, node: int) -> PointSum | None:
        """The sum of one point, None where its pulls aren't all known."""
        return next((s for s in self.sums if s.node == node), None)


def pulls(motion: Motion) -> Pulls:
    """Round every pull, without friction, to with, against or across its point's motion."""
    system, s = motion.system, motion.system.strands
    unit, _ = chord(motion.frictionless.position[:, :, 0].T, s)
    tension = motion.frictionless.tension[:, 0]
    member = motion.blocks.member
    floor = SLACK * system.moved_weight
    taut = tuple(
        kind == "hand" or (kind == "closed" and bool(tension[member == b].max(initial=0.0) > floor))
        for b, kind in enumerate(motion.blocks.kind)
    )
    ends: list[list[tuple[int, Array]]] = [[] for _ in system.names]
    for k in range(len(s)):
        if s.real[k] and taut[member[k]]:
            ends[s.start[k]].append((k, unit[k]))
            ends[s.end[k]].append((k, -unit[k]))
    velocity = motion.rates.velocity * motion.direction
    speed = np.linalg.norm(velocity, axis=1)
    moves = speed > SLOWEST * speed[system.load]
    kinds: list[PointKind] = []
    axis = np.zeros((len(system.names), 3))
    at = []
    for node, meeting in enumerate(ends):
        kinds.append(
            "load"
            if node == system.load
            else "fixed"
            if system.fixed[node]
            else "moving"
            if moves[node]
            else "still"
        )
        forces = [tension[k] * u for k, u in meeting]
        axis[node] = _unit(velocity[node]) if moves[node] else _standing_axis(forces, kinds[-1], floor)
        at.append(tuple((k, _rounded(float(u @ axis[node]))) for k, u in meeting))
    return Pulls(tuple(kinds), axis, tuple(at), taut)


def _standing_axis(forces: list[Array], kind: PointKind, floor: float) -> Array:
    """Along the sum of the pulls [N] on a fixed point; along the strongest elsewhere."""
    if not forces:
        return np.zeros(3)
    total = np.sum(forces, axis=0)
    if kind == "fixed" and float(np.linalg.norm(total)) > floor:
        return _unit(total)
    return _unit(max(forces, key=lambda f: float(np.linalg.norm(f))))


def _unit(vector: Array) -> Array:
    size = float(np.linalg.norm(vector))
    return vector / size if size > 0 else np.zeros(3)


def _rounded(cosine: float) -> int:
    return 0 if abs(cosine) < RIGHT_ANGLE else 1 if cosine > 0 else -1


def count(motion: Motion) -> Count:
    """Count a solved motion, hauling and lowering alike.

    Never raises: where there is no count, ``why`` says so.
    """
    rounded = pulls(motion)
    hands = [b for b, kind in enumerate(motion.blocks.kind) if kind == "hand"]
    blocks, load, clash = _tensions(motion, rounded, dict.fromkeys(hands, 1))
    why, notes = "", list[str]()
    if clash >= 0:
        why = _clash_text(motion, clash)
    elif load is None:
        why = f"undetermined: {_open_block(motion, blocks)} carries a share that no moving point settles"
    elif load <= 0:
        name = motion.system.names[motion.system.load]
        why = f"the pulls on {name} cancel, counted as if all ropes ran parallel"
    elif len(hands) > 1:
        why, notes = _several_hands(motion, rounded, hands, load)
    ratio = None if why else load
    if ratio is not None:
        blocks = _still_points(motion, rounded, blocks)
    units = tuple(blocks[b] for b in motion.blocks.member)
    sums = _sums(rounded, units)
    return Count(ratio, why, units, tuple(blocks), sums, len(hands), tuple(notes), rounded)


def _tensions(
    motion: Motion, rounded: Pulls, given: Mapping[int, int]
) -> tuple[list[Fraction | None], Fraction | None, int]:
    """Units of each block, the sum on the load, the node that clashes or −1; hands pull ``given`` units."""
    member = motion.blocks.member.tolist()
    n = len(motion.blocks.kind)
    known = {b: Fraction(given.get(b, 0)) for b in range(n) if b in given or not rounded.taut[b]}
    rows, right, nodes = [], [], []
    for node, kind in enumerate(rounded.kind):
        if kind in ("load", "moving") and rounded.at[node]:
            row: list[int | Fraction] = [0] * (n + 1)
            for block, sign in rounded.row(node, member).items():
                row[block] = sign
            row[n] = -1 if kind == "load" else 0
            rows.append(row)
            right.append(-sum((row[b] * value for b, value in known.items()), Fraction(0)))
            for b in known:
                row[b] = 0
            nodes.append(node)
    for b, value in known.items():  # hands and slack blocks are given, not solved for
        rows.append([Fraction(int(k == b)) for k in range(n + 1)])
        right.append(value)
    solved = solve_exactly(rows, right, n + 1)
    return list(solved.values[:n]), solved.values[n], nodes[solved.clash] if solved.clash >= 0 else -1


def _several_hands(motion: Motion, rounded: Pulls, hands: list[int], load: Fraction) -> tuple[str, list[str]]:
    """Whether several hands have one count: each must do as much for the load as the others."""
    effects = []
    for hand in hands:
        _, effect, clash = _tensions(motion, rounded, {h: int(h == hand) for h in hands})
        if clash >= 0 or effect is None:  # the reeving itself makes the hands pull alike
            return "", [f"{len(hands)} hands, each pulling 1 T"]
        effects.append(effect)
    working = [e for e in effects if e]
    if len(set(working)) > 1:
        said = ", ".join(f"{_hand_name(motion, h)} {e}:1" for h, e in zip(hands, effects, strict=True))
        return (
            f"several hands that do not pull alike ({said}): the count depends on how they share the load",
            [],
        )
    notes = [
        f"the hand at {_hand_name(motion, h)} moves nothing"
        for h, e in zip(hands, effects, strict=True)
        if not e
    ]
    if len(working) > 1:
        notes.append(
            f"{len(working)} hands pull alike, each counted as 1 T; over all of them {load / len(working)}:1"
        )
    return "", notes


def _hand_name(motion: Motion, block: int) -> str:
    last = int(np.flatnonzero(motion.blocks.member == block)[-1])
    return motion.system.names[int(motion.system.strands.end[last])]


def _clash_text(motion: Motion, node: int) -> str:
    name, system = motion.system.names[node], motion.system
    heavy = system.mass[node] > 0.1 * system.mass[system.load] and node != system.load
    ending = ": it has weight of its own" if heavy else ", counted as if all ropes ran parallel"
    return f"inconsistent: the pulls on {name} do not cancel along its motion{ending}"


def _open_block(motion: Motion, blocks: list[Fraction | None]) -> str:
    """Words for the first block that is left open."""
    strand = next((k for k, b in enumerate(motion.blocks.member) if blocks[b] is None), -1)
    if strand < 0:
        return "a rope"
    s, names = motion.system.strands, motion.system.names
    return f"the strand from {names[int(s.start[strand])]} to {names[int(s.end[strand])]}"


def _still_points(motion: Motion, rounded: Pulls, blocks: list[Fraction | None]) -> list[Fraction | None]:
    """Units of the strands that hold a point in place, from what that point is known to take."""
    out = list(blocks)
    member = motion.blocks.member
    for _ in range(len(rounded.kind)):
        before = list(out)
        for node, kind in enumerate(rounded.kind):
            holding = {k for k, _ in rounded.at[node] if out[member[k]] is None}
            if kind != "still" or len(holding) != 1:
                continue
            (strand,) = holding
            sign = next(sign for k, sign in _against(motion, rounded, node, strand) if k == strand)
            rest = Fraction(0)
            for k, s in _against(motion, rounded, node, strand):
                units = out[member[k]]
                rest += s * units if k != strand and units is not None else 0
            if rest * sign < 0:
                out[member[strand]] = abs(rest)
        if out == before:
            break
    return out


def _against(motion: Motion, rounded: Pulls, node: int, strand: int) -> list[tuple[int, int]]:
    """The pulls on a still point, rounded along one strand that holds it."""
    s = motion.system.strands
    unit, _ = chord(motion.frictionless.position[:, :, 0].T, s)
    out = {k: unit[k] if s.start[k] == node else -unit[k] for k, _ in rounded.at[node]}
    return [(k, _rounded(float(u @ out[strand]))) for k, u in out.items()]


def _sums(rounded: Pulls, units: tuple[Fraction | None, ...]) -> tuple[PointSum, ...]:
    out = []
    for node, meeting in enumerate(rounded.at):
        shares = [(sign, units[k]) for k, sign in meeting]
        known = [(sign, u) for sign, u in shares if u is not None]
        if not meeting or len(known) < len(shares):
            continue
        toward = sum((u for sign, u in known if sign > 0), Fraction(0))
        back = sum((u for sign, u in known if sign < 0), Fraction(0))
        out.append(PointSum(node, rounded.kind[node], toward, back))
    return tuple(out)
