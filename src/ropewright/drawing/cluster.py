"""Where each contact lies on the page: what is clipped to one point is spread the way it is pulled.

A contact becomes a drum, round which its rope turns, or a pinch, at which it ends or is bitten. Drums of one
block lie side by side; things pulled the same way lie in a row, in an order that keeps ropes from crossing.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ropewright.judgement.components import joins_of

from .geometry import cross, dot, unit
from .subject import Subject

__all__ = ["SHEAVE", "Body", "Cluster", "Key", "Placed", "Setting", "Spot", "Tree", "tree_of"]

Key = tuple[str, int]
"""A contact: rope and index in its run."""

SHEAVE = 10.0
EDGE = 7.0
SAME_WAY = math.cos(math.radians(42))
PLAIN_TURN = (math.radians(20), math.radians(158))
"""Turns between which the drawing takes the side of a drum from the world; others may go either way."""
PITCH = 2 * SHEAVE + 14
WOUND = "tensionless"
LOADS = ("person", "litter", "pack", "object")
FARTHEST = 64.0
"""How far a load may be moved on the page to hang under its ropes."""
BESIDE, LOOSE = 24.0, 16.0
"""How far things may stand off the rope that they are packed beside, and off their place in a row."""
LONG_JOINS = {"lanyard": 28.0, "sling": 28.0}


@dataclass(frozen=True, slots=True)
class Spot:
    """A contact on the page. ``radius`` is 0 for a pinch."""

    at: complex
    radius: float
    verb: str
    part: str


@dataclass(slots=True)
class Body:
    """A part to be drawn: its kind, what it is clipped to, what is clipped to it and what touches it."""

    name: str
    kind: str
    parent: str = ""
    children: list[str] = field(default_factory=list)
    lanes: list[Key] = field(default_factory=list)
    joins: tuple[str, ...] = ()
    stands: bool = False


@dataclass(frozen=True)
class Tree:
    """All bodies by name, the root of each point, and each contact's neighbours along its rope."""

    bodies: Mapping[str, Body]
    roots: tuple[str, ...]
    verb: Mapping[Key, str]
    part: Mapping[Key, str]
    near: Mapping[Key, tuple[Key, ...]]
    pull: Mapping[tuple[Key, Key], float]
    node: Mapping[str, int]
    turn: Mapping[Key, int]  # the way a rope turns in the world, where that is plain: 1 clockwise on the page
    wound: frozenset[Key]  # ties without a knot in the loaded strand: wound round what holds them

    def kind(self, part: str) -> str:
        """What kind of thing a part is."""
        return self.bodies[part].kind


@dataclass(frozen=True)
class Placed:
    """Where everything is: contacts, and each body's place with the direction in which it is pulled."""

    spots: Mapping[Key, Spot]
    at: Mapping[str, complex]
    axis: Mapping[str, complex]


def tree_of(subject: Subject, truth: Sequence[complex]) -> Tree:
    """Sort parts and contacts by the points that they share; ``truth`` are the points in the world."""
    rig, bodies = subject.rig, {}
    for place in rig.points.values():
        bodies[place.name] = Body(place.name, place.kind)
    for load in rig.loads.values():
        bodies[load.name] = Body(load.name, load.kind, stands=load.name in subject.stands)
    for crew in rig.crews.values():
        bodies[crew.name] = Body(crew.name, "crew")
    for item in rig.gear.values():
        family = subject.catalogue[item.type].family
        parent = subject.parent.get(item.name, "")
        bodies[item.name] = Body(item.name, family, parent, joins=joins_of(rig, item.name))
    for item in rig.gear.values():
        if bodies[item.name].parent:
            bodies[bodies[item.name].parent].children.append(item.name)
    verb, part = {}, {}
    near: dict[Key, tuple[Key, ...]] = {}
    for rope in rig.ropes.values():
        for k, contact in enumerate(rope.run):
            key = (rope.name, k)
            verb[key] = contact.verb
            part[key] = contact.target or ""
            near[key] = tuple((rope.name, n) for n in (k - 1, k + 1) if 0 <= n < len(rope.run))
            if contact.target:
                bodies[contact.target].lanes.append(key)
    pull = {}
    for s in subject.stretches:
        force = 1.0 if s.tension is None else s.tension
        a, b = (s.rope, s.first), (s.rope, s.second)
        pull[a, b] = pull[b, a] = max(force, 1e-3)
    roots = tuple(name for name in bodies if not bodies[name].parent)
    wound = frozenset(k for k in verb if subject.contact(*k).knot == WOUND)
    return Tree(bodies, roots, verb, part, near, pull, subject.node, _turns(subject, truth), wound)


def _turns(subject: Subject, truth: Sequence[complex]) -> dict[Key, int]:
    out = {}
    for rope in subject.rig.ropes.values():
        for k in range(1, len(rope.run) - 1):
            names = [c.target for c in rope.run[k - 1 : k + 2]]
            a, b, c = (truth[subject.node[name]] if name else None for name in names)
            if a is None or b is None or c is None or abs(b - a) < 1e-6 or abs(c - b) < 1e-6:
                continue
            turn = math.atan2(cross(b - a, c - b), dot(b - a, c - b))
            if PLAIN_TURN[0] < abs(turn) < PLAIN_TURN[1]:
                out[rope.name, k] = 1 if turn > 0 else -1
    return out


@dataclass(slots=True)
class _Item:
    """Something in a row: a contact (``key``) or a child body (``name``)."""

    name: str
    key: Key | None
    way: complex
    half: float
    far: float
    slant: float = 0.0
    turn: float = 0.0


@dataclass(slots=True)
class _Row:
    part: str
    way: complex
    side: complex
    items: list[_Item]
    middle: float  # half width kept free at 0 for the part's own rope, 0 where none


def sideways(way: complex) -> complex:
    """The direction across a row, always rightwards, or downwards where the row is pulled sideways."""
    across = way * 1j
    if abs(across.real) > 0.3:
        return across if across.real > 0 else -across
    return across if across.imag > 0 else -across


class Setting:
    """What a tree on a page has whatever the order of the things on it: which way strands lead from where
    the points are, how wide things are, how ropes are followed.

    ``truth`` are the points in the world, from which strands have their true directions.
    """

    def __init__(self, tree: Tree, centres: Sequence[complex], truth: Sequence[complex]) -> None:
        self.tree, self.centres, self.truth = tree, centres, truth
        self._ways: dict[Key, list[tuple[Key, complex, float]]] = {}
        self._inside: dict[str, list[Key]] = {}
        self._half: dict[str, float] = {}
        self._true: dict[tuple[Key, Key], complex | None] = {}
        self._axes: dict[str, complex] = {}
        self._items: dict[str, list[_Item]] = {}

    def ways(self, key: Key) -> list[tuple[Key, complex, float]]:
        """The strands of a contact that lead to another point: where to, which way, how strong."""
        found = self._ways.get(key)
        if found is None:
            here = self.tree.node[self.tree.part[key]] if self.tree.part[key] else -1
            found = []
            for other in self.tree.near[key]:
                part = self.tree.part[other]
                if not part or self.tree.node[part] == here:
                    continue
                apart = self.centres[self.tree.node[part]] - self.centres[here]
                found.append((other, unit(apart), self.tree.pull.get((key, other), 1e-3)))
            self._ways[key] = found
        return found

    def inside(self, part: str) -> list[Key]:
        """All contacts of a body and of what is clipped to it."""
        out = self._inside.get(part)
        if out is None:
            body = self.tree.bodies[part]
            out = list(body.lanes)
            for child in body.children:
                out += self.inside(child)
            self._inside[part] = out
        return out

    def pulled(self, keys: Sequence[Key], otherwise: complex) -> complex:
        total = sum((w * force for key in keys for _, w, force in self.ways(key)), 0j)
        size = sum(force for key in keys for _, _, force in self.ways(key))
        if size <= 0:
            return otherwise
        if abs(total) > 0.05 * size:
            return unit(total)
        return next((w for key in keys for _, w, _ in self.ways(key)), otherwise)

    def half(self, part: str) -> float:
        out = self._half.get(part)
        if out is None:
            body = self.tree.bodies[part]
            drums = sum(self.tree.verb[k] in ("through", "over") for k in body.lanes)
            own = {"grab": 15.0, "join": 13.0}.get(body.kind, 14.0)
            if drums:
                own = (drums * PITCH) / 2 + 1
            out = self._half[part] = max(own, sum(2 * self.half(child) for child in body.children) / 2)
        return out

    def axis(self, root: str) -> complex:
        """The way in which a root is pulled."""
        out = self._axes.get(root)
        if out is None:
            body = self.tree.bodies[root]
            if body.kind in ("anchor", "edge", "person", "litter", "pack", "object", "crew"):
                out = self.pulled(self.inside(root), 1j if body.kind == "anchor" else -1j)
            else:
                drums = [k for k in body.lanes if self.tree.verb[k] in ("through", "grip")]
                out = self.pulled(drums, -1j)
            self._axes[root] = out
        return out

    def items(self, part: str) -> list[_Item]:
        """What stands in the rows of a body: what is clipped to it and what ends at it."""
        out = self._items.get(part)
        if out is None:
            body = self.tree.bodies[part]
            out = []
            for child in body.children:
                way = self.pulled(self.inside(child), -1j if body.kind != "anchor" else 1j)
                out.append(_Item(child, None, way, self.half(child), self._distance(body, child)))
            for key in body.lanes:
                verb = self.tree.verb[key]
                if verb == "tie" or (verb == "hand" and self.ways(key)):
                    out.append(self._end(body, key))
            self._items[part] = out
        return [replace(item) for item in out]

    def _end(self, body: Body, key: Key) -> _Item:
        hand = self.tree.verb[key] == "hand"
        drum = any(self.tree.verb[k] in ("through", "over") for k in body.lanes)
        far = 18.0 + (SHEAVE if drum else 0.0)
        if key in self.tree.wound:
            far = 12.2
        elif body.kind == "person":
            far = 62.0 if hand else 20.0
        elif body.kind == "crew":
            far = 1.0
        way = self.pulled([key], 1j)
        return _Item(body.name, key, way, 8.0, far)

    def _distance(self, body: Body, child: str) -> float:
        joins = self.tree.bodies[child].joins
        length = sum(LONG_JOINS.get(j, 12.0) for j in joins) - 12.0
        drums = any(self.tree.verb[k] == "through" for k in self.tree.bodies[child].lanes)
        base = {"person": 54.0, "grab": 36.0, "anchor": 34.0}.get(body.kind, 36.0)
        return base + length + (0.0 if drums else -4.0)

    def true(self, first: Key, second: Key) -> complex | None:
        """The direction in the world, seen on the page, of a strand between two points."""
        asked = (first, second)
        if asked not in self._true:
            self._true[asked] = self._truly(first, second)
        return self._true[asked]

    def _truly(self, first: Key, second: Key) -> complex | None:
        a, b = self.tree.part[first], self.tree.part[second]
        if not a or not b or self.tree.node[a] == self.tree.node[b]:
            return None
        here, there = self.tree.node[a], self.tree.node[b]
        return unit(self.truth[there] - self.truth[here], unit(self.centres[there] - self.centres[here]))


class Cluster:
    """The rows of one tree for one choice of their order; offsets along the rows are found by relaxation."""

    def __init__(self, setting: Setting, flips: Mapping[str, int]) -> None:
        self.setting, self.tree, self.flips = setting, setting.tree, flips
        self.shift: dict[str, complex] = {}
        self.offset: dict[str | Key, float] = {}
        self.spots: dict[Key, Spot] = {}
        self.at: dict[str, complex] = {}
        self.axis: dict[str, complex] = {}
        self.rows: dict[str, list[_Row]] = {}
        self._lanes: dict[str, list[tuple[Key, complex, float, str]]] = {}
        self.ways, self.inside = setting.ways, setting.inside
        for root in self.tree.roots:
            self._build(root)

    @property
    def order(self) -> Hashable:
        """All that the flips decide: two choices with the same order give the same picture."""
        rows = tuple(
            (
                part,
                tuple(
                    (item.key or item.name, row.middle and item.turn < self._own_turn(row))
                    for item in row.items
                ),
            )
            for part, own in self.rows.items()
            for row in own
        )
        return rows, tuple((part, tuple(lane[0] for lane in lanes)) for part, lanes in self._lanes.items())

    def _build(self, part: str) -> None:
        """Find the rows of a body and of all that is clipped to it."""
        items = self.setting.items(part)
        self._keys(items)
        self.rows[part] = self._grouped(part, items)
        self._lanes[part] = self._laned(part)
        for child in self.tree.bodies[part].children:
            self._build(child)

    def _laned(self, part: str) -> list[tuple[Key, complex, float, str]]:
        """What ropes run through or over, or are bitten in, at a body: how far to the side, and how round."""
        lanes, verb = self.tree.bodies[part].lanes, self.tree.verb
        drums = [k for k in lanes if verb[k] == "through"]
        drums.sort(key=lambda k: k[1] * self.flips.get(k[0], 1) + 1000 * self._rank(k[0]))
        out: list[tuple[Key, complex, float, str]] = [
            (key, (n - (len(drums) - 1) / 2) * PITCH + 0j, SHEAVE, "through") for n, key in enumerate(drums)
        ]
        overs = [k for k in lanes if verb[k] == "over"]
        out += [(key, 0j, EDGE + 7.0 * n, "over") for n, key in enumerate(overs)]
        grips = [k for k in lanes if verb[k] == "grip"]
        return out + [(key, (n - (len(grips) - 1) / 2) * 18 + 0j, 0.0, "grip") for n, key in enumerate(grips)]

    def _keys(self, items: list[_Item]) -> None:
        for item in items:
            keys = [item.key] if item.key else self.inside(item.name)
            item.turn = min(
                (k[1] * self.flips.get(k[0], 1) + 1000 * self._rank(k[0]) for k in keys), default=0.0
            )

    def _rank(self, rope: str) -> float:
        return self.flips.get(f"rank {rope}", 0)

    def _grouped(self, part: str, items: list[_Item]) -> list[_Row]:
        rows: list[_Row] = []
        for item in items:
            for row in rows:
                if dot(row.way, item.way) > SAME_WAY:
                    row.items.append(item)
                    row.way = unit(sum((i.way for i in row.items), 0j), row.way)
                    break
            else:
                rows.append(_Row(part, item.way, 1j, [item], 0.0))
        body = self.tree.bodies[part]
        own = [w for key in body.lanes if self.tree.verb[key] == "grip" for _, w, _ in self.ways(key)]
        tails = any(
            self.tree.verb[key] == "grip" and any(self.tree.verb[n] == "tail" for n in self.tree.near[key])
            for key in body.lanes
        )
        if tails:
            own.append(1j)
        for row in rows:
            row.side = sideways(row.way)
            if any(dot(row.way, w) > 0.6 for w in own):
                row.middle = 10.0
            for item in row.items:
                item.slant = round(dot(item.way, row.side) * 5) / 5
            row.items.sort(key=lambda i: (i.slant, i.turn))
        return rows

    def start(self) -> None:
        """Pack every row round its middle, or beside the rope that runs through it."""
        for row in (r for rows in self.rows.values() for r in rows):
            wanted = [0.0] * len(row.items)
            self._resolve(row, wanted)

    def _resolve(self, row: _Row, wanted: Sequence[float]) -> None:
        """Offsets nearest to the wanted ones that keep the order and the room between neighbours."""
        items = row.items
        if not items:
            return
        if row.middle:
            self._beside(row, wanted)
            return
        base, at = [], 0.0
        for k, item in enumerate(items):
            at += item.half + (items[k - 1].half if k else 0.0)
            base.append(at)
        shifts = _isotonic([w - b for w, b in zip(wanted, base, strict=True)])
        mean = sum(shifts) / len(shifts)
        shifts = [max(mean - LOOSE, min(mean + LOOSE, s)) for s in shifts]
        spread = [b + s for b, s in zip(base, shifts, strict=True)]
        middle = (spread[0] + spread[-1]) / 2
        body = self.tree.bodies[row.part]
        if body.kind in LOADS:  # a load hangs where its ropes lead
            so_far = self.shift.get(row.part, 0j)
            moved = so_far + row.side * middle
            self.shift[row.part] = moved if abs(moved) <= FARTHEST else unit(moved) * FARTHEST
            correction = -middle
        else:
            most = sum(i.half for i in items) * (0.8 if len(items) > 1 else 0.3 if items[0].key else 1.2)
            correction = max(-most, min(most, middle)) - middle
        for item, offset in zip(items, spread, strict=True):
            self._set(item, offset + correction)

    def _beside(self, row: _Row, wanted: Sequence[float]) -> None:
        """Pack things on both sides of the rope that runs through the row's own part, or a little farther."""
        own = self._own_turn(row)
        for sign in (-1, 1):
            chosen = [(i, w) for i, w in zip(row.items, wanted, strict=True) if (i.turn < own) == (sign < 0)]
            if sign < 0:
                chosen.reverse()
            at, packed = row.middle, []
            for item, _ in chosen:
                packed.append(at + item.half)
                at += 2 * item.half
            more = [sign * w - p for (_, w), p in zip(chosen, packed, strict=True)]
            out = max(0.0, min(BESIDE, sum(more) / len(more))) if more else 0.0
            for (item, _), place in zip(chosen, packed, strict=True):
                self._set(item, sign * (place + out))

    def _own_turn(self, row: _Row) -> float:
        body = self.tree.bodies[row.part]
        return min(
            k[1] * self.flips.get(k[0], 1) + 1000 * self._rank(k[0])
            for k in body.lanes
            if self.tree.verb[k] == "grip"
        )

    def _set(self, item: _Item, offset: float) -> None:
        self.offset[item.key or item.name] = offset

    def put(self) -> None:
        """Compute the place of every body and contact from the offsets."""
        for root in self.tree.roots:
            centre = self.setting.centres[self.tree.node[root]] + self.shift.get(root, 0j)
            self._lay(root, centre, self.setting.axis(root))

    def _lay(self, part: str, at: complex, axis: complex) -> None:
        self.at[part], self.axis[part] = at, axis
        across = sideways(axis)
        for key, lateral, radius, verb in self._lanes[part]:
            where = at if verb == "over" else at + across * lateral
            self.spots[key] = Spot(where, radius, verb, part)
        for row in self.rows[part]:
            for item in row.items:
                offset = self.offset[item.key or item.name]
                where = at + row.way * item.far + row.side * offset
                if item.key is not None:
                    self.spots[item.key] = Spot(where, 0.0, self.tree.verb[item.key], part)
                else:
                    self._lay(item.name, where, item.way)

    def relax(self, strands: Sequence[tuple[Key, Key, complex, complex]]) -> None:
        """Move the things in each row so that their strands (from, to, start, end) run as they truly do."""
        lean: dict[Key, list[tuple[complex, complex]]] = {}
        for first, second, start, end in strands:
            true = self.setting.true(first, second)
            if true is not None:
                off = end - start - abs(end - start) * true
                lean.setdefault(first, []).append((true, off))
                lean.setdefault(second, []).append((-true, -off))
        for rows in self.rows.values():
            for row in rows:
                wanted = []
                for item in row.items:
                    keys = [item.key] if item.key else self.inside(item.name)
                    found = [
                        dot(off, row.side)
                        for key in keys
                        for way, off in lean.get(key, ())
                        if dot(way, row.way) > 0.6
                    ]
                    move = sum(found) / len(found) if found else 0.0
                    wanted.append(self.offset[item.key or item.name] + 0.8 * max(-60.0, min(60.0, move)))
                self._resolve(row, wanted)


def _isotonic(values: Sequence[float]) -> list[float]:
    """The nearest sequence that never falls (pool adjacent violators)."""
    blocks: list[tuple[float, int]] = []
    for value in values:
        total, count = value, 1
        while blocks and blocks[-1][0] / blocks[-1][1] > total / count:
            more, n = blocks.pop()
            total, count = total + more, count + n
        blocks.append((total, count))
    return [total / count for total, count in blocks for _ in range(count)]
