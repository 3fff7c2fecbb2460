"""How each rope runs between its contacts: straight from tangent to tangent, and round each drum."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from .cluster import Key, Placed, Spot, Tree
from .geometry import cross, from_line, swept, tangent, unit
from .heads import head_at
from .symbols import HEAD

__all__ = ["LOOP", "Strand", "Wrap", "run_ropes", "with_ends"]

TAIL = 44.0
CLEAR = HEAD + 4.0
"""How far [page units] a free end keeps from the middle of a head."""
ASIDE = (14.0, 22.0, 30.0, 38.0, -14.0, -22.0, -30.0)
"""How far [page units] its end is moved aside for that."""
BACK = 0.8
"""A wrap this little [rad] against its sense is a rope that only touches its drum."""
LOOP = 1.25 * math.pi
"""A wrap above this is a rope that went round the wrong side."""


@dataclass(frozen=True, slots=True)
class Strand:
    """A strand on the page, from ``start`` to ``end``, between the contacts ``first`` and ``second``."""

    rope: str
    first: Key
    second: Key
    start: complex
    end: complex


@dataclass(frozen=True, slots=True)
class Wrap:
    """A rope round a drum: sense +1 clockwise on the page, ``angle`` [rad] of the arc."""

    key: Key
    centre: complex
    radius: float
    sense: int
    start: complex
    end: complex
    angle: float


def with_ends(tree: Tree, placed: Placed, side: Mapping[str, int], plan: bool) -> Placed:
    """Add free tails, and hands that hold rope at the point where it already is."""
    spots = dict(placed.spots)
    for key, spot in placed.spots.items():
        if spot.radius and _straight_through(tree, key):
            spots[key] = Spot(spot.at, 0.0, spot.verb, spot.part)
    for key, verb in tree.verb.items():
        if key in spots:
            continue
        before = spots.get((key[0], key[1] - 1))
        if before is None:
            spots[key] = Spot(0j, 0.0, verb, tree.part[key])
            continue
        if verb == "hand":
            where = placed.at[tree.part[key]] + complex(30 * side.get(tree.part[key], 1), 24)
            where += 12j * sum(s.verb == "hand" and s.part == tree.part[key] for s in spots.values())
            spots[key] = Spot(where, 0.0, "hand", tree.part[key])
            continue
        coming = spots.get((key[0], key[1] - 2))
        way = unit(before.at - coming.at) if coming else 1j
        if plan:
            where = before.at + way * (TAIL + before.radius)
        else:
            out = 0.0
            if before.radius:
                out = math.copysign(before.radius + 4, way.real if abs(way.real) > 0.05 else 1.0)
            elif before.verb == "through":
                root = before.part
                while tree.bodies[root].parent:
                    root = tree.bodies[root].parent
                out = -20.0 * side.get(root, 1)
            where = _past_heads(tree, placed, side, before.at, complex(out, TAIL + before.radius))
        spots[key] = Spot(where, 0.0, "tail", "")
    return Placed(spots, placed.at, placed.axis)


def _past_heads(tree: Tree, placed: Placed, side: Mapping[str, int], at: complex, down: complex) -> complex:
    """Where a free end hangs: aside, away from whoever is under it, where it would lie across a head."""
    heads = [
        (head_at(tree, placed, n, side[n]), placed.at[n])
        for n, b in tree.bodies.items()
        if b.kind == "person"
    ]
    for head, middle in heads:
        if from_line(head, at, at + down) < CLEAR:
            away = math.copysign(1.0, at.real - middle.real)
            ends = (at + down + more * away for more in ASIDE)
            return next(
                (end for end in ends if all(from_line(h, at, end) >= CLEAR for h, _ in heads)), at + down
            )
    return at + down


def _straight_through(tree: Tree, key: Key) -> bool:
    """Whether a rope goes straight through a device: to a free end, or to a hand at the same point."""
    part = tree.part[key]
    if tree.kind(part) != "device":
        return False
    after = (key[0], key[1] + 1)
    verb = tree.verb.get(after, "")
    return verb == "tail" or (verb == "hand" and tree.node[tree.part[after]] == tree.node[part])


def _sense(before: complex, at: complex, after: complex) -> int:
    """The way the rope turns: its drum lies on the inner side of the turn."""
    return 1 if cross(at - before, after - at) >= -1e-6 * abs(at - before) * abs(after - at) else -1


def run_ropes(tree: Tree, spots: Mapping[Key, Spot]) -> tuple[list[Strand], list[Wrap]]:
    """Run every rope through its spots."""
    strands: list[Strand] = []
    wraps: list[Wrap] = []
    by_rope: dict[str, list[Key]] = {}
    for key in tree.verb:
        by_rope.setdefault(key[0], []).append(key)
    for rope, keys in by_rope.items():
        keys.sort()
        row = [spots[k] for k in keys]
        sense = [0] * len(row)
        for k in range(1, len(row) - 1):
            if row[k].radius:
                sense[k] = tree.turn.get(keys[k]) or _sense(row[k - 1].at, row[k].at, row[k + 1].at)
        ends = _tangents(row, sense)
        for k in range(1, len(row) - 1):
            if row[k].radius and keys[k] not in tree.turn and _angle(ends, k, sense[k]) > LOOP:
                sense[k] = -sense[k]
                again = _tangents(row, sense)
                if _angle(again, k, sense[k]) > LOOP:
                    sense[k] = -sense[k]
                else:
                    ends = again
        for k, (start, end) in enumerate(ends):
            strands.append(Strand(rope, keys[k], keys[k + 1], start, end))
        for k in range(1, len(row) - 1):
            if row[k].radius:
                angle = _angle(ends, k, sense[k])
                wraps.append(
                    Wrap(keys[k], row[k].at, row[k].radius, sense[k], ends[k - 1][1], ends[k][0], angle)
                )
    return strands, wraps


def _tangents(row: list[Spot], sense: list[int]) -> list[tuple[complex, complex]]:
    return [
        tangent(a.at, a.radius if s else 0.0, s, b.at, b.radius if t else 0.0, t)
        for a, s, b, t in zip(row, sense, row[1:], sense[1:], strict=False)
    ]


def _angle(ends: list[tuple[complex, complex]], k: int, sense: int) -> float:
    coming = ends[k - 1][1] - ends[k - 1][0]
    going = ends[k][1] - ends[k][0]
    if abs(coming) < 1e-9 or abs(going) < 1e-9:
        return 0.0
    angle = swept(coming, going, sense)
    return 0.0 if angle > 2 * math.pi - BACK else angle
