"""From the world to the page: one scale, long distances broken, crowded things moved apart.

Points come in metres, x right and y down the page; they leave in page units. A break takes a piece out of
a gap that nothing but nearly parallel strands crosses, and moves what lies beyond along those strands, so
that no strand changes its direction by more than `BENT_NAMED` or `BENT`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from .geometry import around, cross, dot, unit

__all__ = ["FULL", "Break", "Link", "Page", "Reach", "Room", "paged"]

LARGEST = 220.0
"""Page units for a metre, at most: a rig of a few centimetres is not blown up further."""
BARE_GAP = 64.0
BENT_NAMED, BENT = math.radians(4), math.radians(12)
PARALLEL = math.cos(math.radians(8))
IN_LINE = math.tan(math.radians(3))
"""Slope up to which a strand counts as plumb or level."""
OWN_COLUMN = -math.inf
"""Room that asks only for columns of their own."""
PARALLELS = 28.0
"""Room that each further strand between the same two things takes."""
APART = 10.0
"""Room between two things that no strand joins."""


@dataclass(frozen=True, slots=True)
class Room:
    """Room [page units] that the points themselves should take, labels left out.

    ``detail`` is the distance between the two nearest things that a strand joins, ``gap`` what a break
    leaves of a long strand, ``clear`` the room between two things that a strand joins, for its label.
    """

    width: float = 400.0
    height: float = 500.0
    detail: float = 170.0
    gap: float = 150.0
    clear: float = 58.0


FULL = Room()


@dataclass(frozen=True, slots=True)
class Link:
    """A strand between two points; ``named`` where one of its ends has an angle that is drawn, ``fast``
    where the rope is held fast at one of them.
    """

    start: int
    end: int
    named: bool
    fast: bool = False


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the things at a point reach from it on the page."""

    left: float
    up: float
    right: float
    down: float


@dataclass(frozen=True, slots=True)
class Break:
    """A gap out of which a piece was taken: across the page (``axis`` 0) or down it (1); ``at`` where on it.

    ``links`` are the strands that cross it.
    """

    axis: int
    at: float
    links: tuple[int, ...]


@dataclass(frozen=True)
class Page:
    """Where each point lies, page units for a metre, and the breaks."""

    centres: tuple[complex, ...]
    scale: float
    breaks: tuple[Break, ...]


def paged(
    points: Sequence[complex],
    links: Sequence[Link],
    reach: Sequence[Reach],
    hints: Sequence[float | None],
    air: float = 0.0,
    room: Room = FULL,
) -> Page:
    """Place the points on the page. Equal points in, equal page out.

    hints: for loads, which may hang one before the other, how far to the right each is to be drawn.
    air: room between columns on top of the usual, for labels that find no place.
    """
    if not points:
        return Page((), 1.0, ())
    moved, cuts, scale = _scaled(tuple(points), tuple(links), room)
    centres = _apart(_side_by_side(moved, links, reach, hints), links, reach, air, room.clear)
    breaks = tuple(_mark(cut, points, centres, links, reach) for cut in cuts)
    return Page(tuple(centres), scale, breaks)


@lru_cache(maxsize=16)
def _scaled(
    points: tuple[complex, ...], links: tuple[Link, ...], room: Room
) -> tuple[tuple[complex, ...], tuple[_Cut, ...], float]:
    """The points at the scale that fits the room, long gaps shortened, the cuts, and that scale.

    Remembered, since a picture is paged several times over with other things at its points.
    """
    box = around(points)
    across, down = max(box.right - box.left, 1e-6), max(box.bottom - box.top, 1e-6)
    fits = min(room.width / across, room.height / down, LARGEST)
    lengths = [abs(points[k.end] - points[k.start]) for k in links]
    nearest = min((length for length in lengths if length > 0.25), default=0.0)
    scale = max(fits, min(room.detail / nearest, LARGEST) if nearest else fits)
    for _ in range(16):
        moved, cuts = _broken([p * scale for p in points], links, room)
        if scale <= fits * 1.001 or _fits(moved, room):
            break
        scale = max(fits, scale * 0.85)
    return tuple(moved), tuple(cuts), scale


def _fits(points: Sequence[complex], room: Room) -> bool:
    across = max(p.real for p in points) - min(p.real for p in points)
    down = max(p.imag for p in points) - min(p.imag for p in points)
    return across <= room.width * 1.02 and down <= room.height * 1.02


@dataclass(frozen=True, slots=True)
class _Cut:
    axis: int
    low: tuple[int, ...]  # points on the near side, the rest beyond
    links: tuple[int, ...]


def _along(point: complex, axis: int) -> float:
    return point.imag if axis else point.real


def _broken(points: list[complex], links: Sequence[Link], room: Room) -> tuple[list[complex], list[_Cut]]:
    """Take the middle out of long gaps, down the page first."""
    moved, cuts = list(points), []
    for axis, length in ((1, room.height), (0, room.width)):
        rounded = [round(_along(p, axis), 6) for p in points]
        values = sorted(set(rounded))
        gaps = [b - a for a, b in pairwise(values)]
        cuts_here = []
        for k in range(len(gaps)):
            low = tuple(i for i, value in enumerate(rounded) if value <= values[k])
            cuts_here.append(_Cut(axis, low, _crossing(points, links, set(low))))
        most = _gap_that_fits(
            [min(g, BARE_GAP) if not c.links else g for g, c in zip(gaps, cuts_here, strict=True)],
            length,
            room.gap,
        )
        for gap, cut in zip(gaps, cuts_here, strict=True):
            left = most if cut.links else BARE_GAP
            if gap <= left * 1.3:
                continue
            low = cut.low
            shift = _shift(moved, links, cut, gap - left)
            if shift is None:
                continue
            near = set(low)
            moved = [p if i in near else p - shift for i, p in enumerate(moved)]
            cuts.append(cut)
    return moved, cuts


def _gap_that_fits(gaps: Sequence[float], room: float, least: float) -> float:
    """The longest gap to leave so that all together fit the room."""
    if sum(gaps) <= room:
        return math.inf
    left, count = room, len(gaps)
    for gap in sorted(gaps):
        if gap * count >= left:
            return max(least, left / count)
        left, count = left - gap, count - 1
    return max(least, room)


def _crossing(points: Sequence[complex], links: Sequence[Link], low: set[int]) -> tuple[int, ...]:
    return tuple(
        k
        for k, link in enumerate(links)
        if (link.start in low) != (link.end in low) and abs(points[link.end] - points[link.start]) > 0
    )


def _shift(points: Sequence[complex], links: Sequence[Link], cut: _Cut, take: float) -> complex | None:
    """By how much what lies beyond moves, or None where a strand would be bent."""
    axis = 1j if cut.axis else 1.0 + 0j
    low = set(cut.low)
    runs = []
    for k in cut.links:
        link = links[k]
        here, there = (link.start, link.end) if link.start in low else (link.end, link.start)
        runs.append((points[there] - points[here], BENT_NAMED if link.named else BENT))
    if not runs:
        return axis * take
    mean = unit(sum((unit(run) for run, _ in runs), 0j), axis)
    share = dot(mean, axis)
    if share < 0.3 or any(dot(unit(run), mean) < PARALLEL for run, _ in runs):
        return None
    shift = mean * (take / share)
    for run, bent in runs:
        left = run - shift
        if dot(left, mean) <= 0 or abs(math.atan2(cross(run, left), dot(run, left))) > bent:
            return None
    return shift


def _side_by_side(
    points: Sequence[complex], links: Sequence[Link], reach: Sequence[Reach], hints: Sequence[float | None]
) -> list[complex]:
    """Set things that hang before each other from one point beside each other."""
    out = list(points)
    above: dict[int, set[int]] = {}
    for link in links:
        for a, b in ((link.start, link.end), (link.end, link.start)):
            if points[a].imag < points[b].imag:
                above.setdefault(b, set()).add(a)
    for i in sorted(above):
        for j in sorted(above):
            first, second = hints[i], hints[j]
            if i >= j or first is None or second is None or not above[i] & above[j]:
                continue
            apart = out[j] - out[i]
            deep = (reach[i].up + reach[i].down + reach[j].up + reach[j].down) / 2
            if abs(apart.imag) > deep * 0.75 or abs(apart.real) > 30 or abs(points[i] - points[j]) > 120:
                continue
            left, right = (i, j) if (first, i) <= (second, j) else (j, i)
            room = reach[left].right + reach[right].left + 24
            middle = (out[i].real + out[j].real) / 2
            out[left] = complex(middle - room / 2, out[left].imag)
            out[right] = complex(middle + room / 2, out[right].imag)
    return out


def _apart(
    points: Sequence[complex], links: Sequence[Link], reach: Sequence[Reach], air: float, clear: float
) -> list[complex]:
    """Move crowded things apart, whole columns and rows together, so that plumb stays plumb."""
    joined = {frozenset((k.start, k.end)) for k in links}
    spread = _told_apart(points, joined)
    needs: tuple[list[tuple[int, int, float]], list[tuple[int, int, float]]] = ([], [])
    count = len(spread)
    for i in range(count):
        for j in range(i + 1, count):
            _need(i, j, spread, reach, clear if frozenset((i, j)) in joined else None, needs, air)
    hung_from: list[set[int]] = [set() for _ in spread]
    for link in links:
        hung_from[link.start].add(link.end)
        hung_from[link.end].add(link.start)
    beside: dict[tuple[int, int], int] = {}
    for link in links:
        pair = (min(link.start, link.end), max(link.start, link.end))
        beside[pair] = beside.get(pair, 0) + 1
    for (a, b), many in beside.items():
        for k in range(count):
            if k not in (a, b):
                ends = {e: frozenset((e, k)) not in joined for e in (a, b) if hung_from[k] != {e}}
                if not any(ends.values()):
                    ends = dict.fromkeys(ends, True)
                _clear(a, b, k, spread, reach[k], needs, 8.0 + PARALLELS * (many - 1), ends)
    across = _pushed([p.real for p in spread], _in_line(spread, links, 0, needs[0]), needs[0])
    down = _pushed([p.imag for p in spread], _in_line(spread, links, 1, needs[1]), needs[1])
    return [complex(x, y) for x, y in zip(across, down, strict=True)]


def _told_apart(points: Sequence[complex], joined: set[frozenset[int]]) -> list[complex]:
    """Things at one point a little apart: the one with the most ropes stays, the others go to its right."""
    out = list(points)
    seen: dict[tuple[int, int], int] = {}
    for i in sorted(range(len(points)), key=lambda i: (-sum(i in pair for pair in joined), i)):
        key = (round(points[i].real), round(points[i].imag))
        out[i] += 3.0 * seen.get(key, 0)
        seen[key] = seen.get(key, 0) + 1
    return out


def _need(
    i: int,
    j: int,
    points: Sequence[complex],
    reach: Sequence[Reach],
    clear: float | None,
    needs: tuple[list[tuple[int, int, float]], list[tuple[int, int, float]]],
    air: float,
) -> None:
    """Note the room that two things need between them; ``clear`` is that for a strand that joins them."""
    joined = clear is not None
    apart = points[j] - points[i]
    room = APART if clear is None else clear
    if abs(apart.imag) >= abs(apart.real):
        above, below = (i, j) if apart.imag >= 0 else (j, i)
        left, right = (i, j) if apart.real >= 0 else (j, i)
        if joined or abs(apart.real) < reach[left].right + reach[right].left + APART / 2:
            needs[1].append((above, below, reach[above].down + reach[below].up + room))
    else:
        left, right = (i, j) if apart.real >= 0 else (j, i)
        above, below = (i, j) if apart.imag >= 0 else (j, i)
        if joined or abs(apart.imag) < reach[above].down + reach[below].up + APART / 2:
            needs[0].append((left, right, reach[left].right + reach[right].left + room + air))


def _clear(
    first: int,
    second: int,
    k: int,
    points: Sequence[complex],
    reach: Reach,
    needs: tuple[list[tuple[int, int, float]], list[tuple[int, int, float]]],
    air: float,
    ends: Mapping[int, bool],
) -> None:
    """Keep a thing off the strands between two others that run past it, by moving it from their ``ends``.

    An end whose value is False is joined to the thing by a rope: the two only get columns of their own.
    """
    a, b, p = points[first], points[second], points[k]
    run = b - a
    for axis in (0, 1):
        along, across = (run.imag, run.real) if axis == 0 else (run.real, run.imag)
        if abs(along) < 2.5 * abs(across) or abs(along) < 1:
            continue
        share = ((p.imag - a.imag) if axis == 0 else (p.real - a.real)) / along
        if not 0.02 < share < 0.98:
            continue
        foot = a + run * share
        off = (p - foot).real if axis == 0 else (p - foot).imag
        before, after = (reach.left, reach.right) if axis == 0 else (reach.up, reach.down)
        for end, push in ends.items():
            room = (before if off >= 0 else after) + air if push else OWN_COLUMN
            if 0 <= off < before + air:
                needs[axis].append((end, k, room))
            elif -after - air < off < 0:
                needs[axis].append((k, end, room))


def _in_line(
    points: Sequence[complex], links: Sequence[Link], axis: int, needs: Sequence[tuple[int, int, float]]
) -> list[int]:
    """Sort points into columns (axis 0) or rows (1) that move together: where a plumb, or level, strand
    joins them, but never two that need room between them.
    """
    group = list(range(len(points)))
    members = {i: {i} for i in group}
    apart: dict[int, set[int]] = {i: set() for i in group}
    for low, high, _ in needs:
        apart[low].add(high)
        apart[high].add(low)

    def join(i: int, j: int) -> None:
        a, b = sorted((group[i], group[j]))
        if a == b or any(apart[k] & members[a] for k in members[b]):
            return
        for k in members[b]:
            group[k] = a
        members[a] |= members.pop(b)

    first: dict[float, int] = {}
    for i, p in enumerate(points):
        join(first.setdefault(round(p.real if axis == 0 else p.imag, 1), i), i)
    leaning = []
    for link in links:
        run = points[link.end] - points[link.start]
        across, along = (run.real, run.imag) if axis == 0 else (run.imag, run.real)
        if abs(across) <= min(IN_LINE * abs(along), 14.0):
            leaning.append((not link.fast, round(abs(across), 3), link.start, link.end))
    for _, _, start, end in sorted(leaning):
        join(start, end)
    return group


def _pushed(values: list[float], group: list[int], needs: list[tuple[int, int, float]]) -> list[float]:
    """The values in order, each gap between groups as it was or as wide as the needs ask."""
    members: dict[int, list[int]] = {}
    for i, g in enumerate(group):
        members.setdefault(g, []).append(i)
    middle = {g: sum(values[i] for i in found) / len(found) for g, found in members.items()}
    order = sorted(members, key=lambda g: (middle[g], g))
    place = {g: k for k, g in enumerate(order)}
    asked: list[list[tuple[int, float]]] = [[] for _ in order]
    for low, high, room in needs:
        a, b = place[group[low]], place[group[high]]
        if a < b:
            extra = (values[low] - middle[group[low]]) - (values[high] - middle[group[high]])
            asked[b].append((a, room + extra))
    new: list[float] = []
    for k, g in enumerate(order):
        least = new[k - 1] + middle[g] - middle[order[k - 1]] if k else middle[g]
        new.append(max([least, *(new[j] + room for j, room in asked[k])]))
    return [new[place[g]] + values[i] - middle[g] for i, g in enumerate(group)]


def _mark(
    cut: _Cut,
    points: Sequence[complex],
    centres: Sequence[complex],
    links: Sequence[Link],
    reach: Sequence[Reach],
) -> Break:
    """Where on its axis the break is shown: half way between what stands on its two sides."""
    low = set(cut.low)
    ends = {i for k in cut.links for i in (links[k].start, links[k].end)} or set(range(len(points)))
    near = [
        _along(centres[i], cut.axis) + (reach[i].down if cut.axis else reach[i].right) for i in ends & low
    ]
    far = [_along(centres[i], cut.axis) - (reach[i].up if cut.axis else reach[i].left) for i in ends - low]
    return Break(cut.axis, (max(near, default=0.0) + min(far, default=0.0)) / 2, cut.links)
