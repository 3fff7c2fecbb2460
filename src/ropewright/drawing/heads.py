"""On which side of the ropes each person's head is: clear of gear and of lines where one side is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from .cluster import Placed, Tree
from .geometry import from_line
from .symbols import HEAD

__all__ = ["NARROW", "WIDE", "clear_sides", "head_at", "shoulders_at", "sides"]

WIDE, NARROW, ROOM = 18.0, 14.0, 10.0
"""How far [page units] a device and other gear reach from their middle, and what is kept free round a head:
a device's plates and the ring round what a step changes take more than its middle.
"""
NEAR = HEAD + 3.0
"""How far [page units] from the middle of a head a line is drawn across it."""
GEAR = 3
"""How many lines across a head are as bad as gear over it."""

Line = tuple[complex, complex]


def head_at(tree: Tree, placed: Placed, name: str, side: int) -> complex:
    """Where the middle of a person's head is, drawn on this side (±1) of the ropes that hold them."""
    return placed.at[name] + (complex(9 * side, -40) if tree.bodies[name].stands else complex(43 * side, -29))


def shoulders_at(tree: Tree, placed: Placed, name: str, side: int) -> complex:
    """Where a person's head and shoulders are, off which gear is kept."""
    return placed.at[name] + (complex(9 * side, -38) if tree.bodies[name].stands else complex(40 * side, -24))


def sides(tree: Tree, placed: Placed) -> dict[str, int]:
    """A person sits on the side of the strand that he pulls, else away from what hangs beside him; on the
    other where something clipped to him would cover his head.
    """
    out = {}
    for name, body in tree.bodies.items():
        if body.kind == "crew":
            out[name] = -1 if placed.axis[name].real > 0.2 else 1
        if body.kind != "person":
            continue
        at = placed.at[name]
        hands = [placed.spots[k].at - at for k in body.lanes if k in placed.spots and tree.verb[k] == "hand"]
        others = [(placed.at[child] - at).real for child in body.children]
        out_left, out_right = max([0.0, *(-x for x in others)]), max([0.0, *others])
        lean = sum(h.real for h in hands) if hands else out_left - out_right
        side = 1 if lean > 8.0 else -1
        if _covered(tree, placed, name, side) and not _covered(tree, placed, name, -side):
            side = -side
        out[name] = side
    return out


def clear_sides(
    tree: Tree, placed: Placed, side: Mapping[str, int], strands: Sequence[Line]
) -> dict[str, int]:
    """The sides, changed for each person whose head has less drawn across it on the other."""
    lines = [*strands, *_joins(tree, placed)]
    out = dict(side)
    for name, body in tree.bodies.items():
        if body.kind == "person":
            here, there = (_across(tree, placed, name, way, lines) for way in (side[name], -side[name]))
            out[name] = -side[name] if there < here else side[name]
    return out


def _joins(tree: Tree, placed: Placed) -> Iterator[Line]:
    """What joins gear to its place, and the loops of knots."""
    for name, body in tree.bodies.items():
        if body.parent:
            yield placed.at[body.parent], placed.at[name]
    for key, verb in tree.verb.items():
        if verb == "tie":
            yield placed.spots[key].at, placed.at[tree.part[key]]


def _across(tree: Tree, placed: Placed, name: str, side: int, lines: Sequence[Line]) -> int:
    """How ill a person's head would be seen on this side."""
    head = head_at(tree, placed, name, side)
    over = sum(from_line(head, *line) < NEAR for line in lines)
    return over + GEAR * _covered(tree, placed, name, side)


def _covered(tree: Tree, placed: Placed, name: str, side: int) -> bool:
    """Whether gear that is clipped to a person lies over the head, if it is on this side."""
    head = shoulders_at(tree, placed, name, side)
    spots = [
        (placed.spots[key].at, WIDE if tree.bodies[child].kind == "device" else NARROW)
        for child in tree.bodies[name].children
        for key in tree.bodies[child].lanes
        if tree.verb[key] in ("through", "grip")
    ]
    return any(abs(at - head) < far + HEAD + ROOM for at, far in spots)
