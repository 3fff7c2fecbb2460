"""Finding a place for every label: near what it names, on nothing that is drawn, on no other label.

Each label tries its places in order of how well they read; where none is free it goes into a column beside
the drawing, with a line to what it names, and the page grows. The same labels in give the same places out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.patience import keep_time

from .geometry import Box, hits
from .words import Label, Wanted

__all__ = ["Board", "Settled"]

Array = NDArray[np.float64]
Places = NDArray[np.complex128]
AIR = 2.5
BETWEEN = 4.0
NEAR = 5.0
RINGS = (14.0, 26.0, 40.0, 56.0, 74.0, 94.0, 118.0, 146.0, 180.0, 220.0)
_WAYS = np.exp(2j * np.pi * np.arange(24) / 24)
_TILTS = np.array([0.0, 0.4, -0.4, 1.0, -1.0])
FIRST, MOST = 12, 96
"""Places tried in one go, at first and at most."""
BESIDE = 11.0
"""A label this near to a strand that isn't its own needs a line to the one it means."""


@dataclass(frozen=True, slots=True)
class Settled:
    """A label in its place; ``leader`` runs from it to the point that it names, ``dot`` if on a rope."""

    label: Label
    box: Box
    leader: tuple[complex, complex] | None
    dot: bool


class Board:
    """The drawing as something to keep off, and the labels placed so far."""

    def __init__(
        self, boxes: Sequence[Box], lines: Sequence[tuple[float, float, float, float, float]], ropes: Array
    ) -> None:
        self.solid = _rows(boxes)
        self.lines = np.array(lines, dtype=np.float64).reshape(-1, 5)
        self.ropes = ropes  # (s, 5), one row a strand in the order of the layout
        self.placed: list[Settled] = []
        self.taken = np.zeros((0, 4))
        self.leaders = np.zeros((0, 5))

    def settle(self, wanted: Wanted) -> bool:
        """Find a place for one label; False where there is none near."""
        keep_time()
        boxes, points, costs, tied = self._candidates(wanted)
        order = np.argsort(costs, kind="stable")
        best: tuple[float, int, bool] | None = None
        begin, step = 0, FIRST
        while begin < len(order) and (best is None or costs[order[begin]] < best[0]):
            part = order[begin : begin + step]
            begin, step = begin + step, min(2 * step, MOST)
            part = part[self._free(boxes[part])]
            if not len(part):
                continue
            close = self._crowded(boxes[part], wanted)
            lead = tied[part] | close
            total = costs[part] + np.where(close, 3.0, 0.0)
            sure = min(total[~lead].min(initial=np.inf), np.inf if best is None else best[0])
            dear = lead & (total >= sure)  # a line only adds to the cost, so these can't win
            total[dear] = np.inf
            lead &= ~dear
            total[lead] += self._prices(_leaders(boxes[part][lead], points[part][lead]), wanted)
            k = int(np.argmin(total))
            if np.isfinite(total[k]) and (best is None or total[k] < best[0]):
                best = (float(total[k]), int(part[k]), bool(lead[k]))
        if best is None:
            return False
        self._put(wanted, boxes[best[1]], complex(points[best[1]]) if best[2] else None)
        return True

    def column(self, wanted: Sequence[Wanted]) -> None:
        """Set what found no place in a column on the right, each level with what it names if it can be."""
        if not wanted:
            return
        edge = max(
            float(self.solid[:, 2].max(initial=0.0)),
            float(self.taken[:, 2].max(initial=0.0)),
            float(np.maximum(self.lines[:, 0], self.lines[:, 2]).max(initial=0.0)),
        )
        left = edge + 26.0
        low = -math.inf
        for item in sorted(wanted, key=lambda w: (_target(w).imag, _target(w).real)):
            target = _target(item)
            top = max(target.imag - item.label.height / 2, low)
            while True:
                box = np.array([left, top, left + item.label.width, top + item.label.height])
                clash = hits(self.taken, _leaders(box[None, :], np.array([target])))
                if not clash.any() or top > target.imag + 400:
                    break
                top += 9.0
            self._put(item, box, target)
            low = top + item.label.height + BETWEEN

    def _put(self, wanted: Wanted, box: Array, point: complex | None) -> None:
        leader = None
        if point is not None:
            line = _leaders(box[None, :], np.array([point]))[0]
            self.leaders = np.vstack([self.leaders, line])
            leader = (complex(line[0], line[1]), complex(line[2], line[3]))
        self.taken = np.vstack([self.taken, box])
        settled = Box(float(box[0]), float(box[1]), float(box[2]), float(box[3]))
        self.placed.append(Settled(wanted.label, settled, leader, wanted.owner >= 0 and leader is not None))

    def _free(self, boxes: Array) -> NDArray[np.bool_]:
        grown = boxes + np.array([-AIR, -AIR, AIR, AIR])
        left, top = grown[:, 0].min(), grown[:, 1].min()
        right, bottom = grown[:, 2].max(), grown[:, 3].max()
        ok: NDArray[np.bool_] = np.asarray(~_overlap(grown, self.solid).any(axis=1))
        wide = boxes + np.array([-BETWEEN, -BETWEEN, BETWEEN, BETWEEN])
        ok &= ~_overlap(wide, self.taken).any(axis=1)
        for lines in (self.lines, self.leaders):
            half = lines[:, 4]
            near = np.maximum(lines[:, 0], lines[:, 2]) + half > left
            near &= np.minimum(lines[:, 0], lines[:, 2]) - half < right
            near &= np.maximum(lines[:, 1], lines[:, 3]) + half > top
            near &= np.minimum(lines[:, 1], lines[:, 3]) - half < bottom
            if near.any() and ok.any():
                ok[ok] = ~hits(grown[ok], lines[near]).any(axis=1)
        return ok

    def _crowded(self, boxes: Array, wanted: Wanted) -> NDArray[np.bool_]:
        if wanted.owner < 0 or len(self.ropes) < 2:
            return np.zeros(len(boxes), dtype=bool)
        others = np.delete(self.ropes, wanted.owner, axis=0)
        grown = boxes + np.array([-BESIDE, -BESIDE, BESIDE, BESIDE])
        return np.asarray(hits(grown, others).any(axis=1))

    def _prices(self, lines: Array, wanted: Wanted) -> Array:
        """What leaders cost, infinite where one would run through a label or another leader."""
        cost = np.zeros(len(lines))
        if not len(lines):
            return cost
        barred = hits(self.taken, lines).any(axis=0) | _crossed(lines, self.leaders).any(axis=1)
        cost[barred] = np.inf
        ropes = _crossed(lines, self.ropes)
        if wanted.owner >= 0:
            ropes[:, wanted.owner] = False
        cost += 5.0 * ropes.sum(axis=1)
        strokes = _crossed(lines, self.lines)
        solid = hits(self.solid, lines)
        if wanted.box is not None:
            own = wanted.box.grown(2.0)
            x, y = (self.lines[:, 0] + self.lines[:, 2]) / 2, (self.lines[:, 1] + self.lines[:, 3]) / 2
            strokes[:, (x > own.left) & (x < own.right) & (y > own.top) & (y < own.bottom)] = False
            solid[_overlap(_rows([own]), self.solid)[0]] = False
        cost += 1.2 * strokes.sum(axis=1)
        return np.asarray(cost + 9.0 * solid.sum(axis=0))

    def _candidates(self, wanted: Wanted) -> tuple[Array, Places, Array, NDArray[np.bool_]]:
        """Boxes, the points that they name, costs, and which of them need a line to the point."""
        if wanted.box is not None:
            return _round_box(wanted.label, wanted.box)
        return _beside_points(wanted)


def _round_box(label: Label, box: Box) -> tuple[Array, Places, Array, NDArray[np.bool_]]:
    w, h = label.width, label.height
    half_w, half_h = (box.right - box.left) / 2, (box.bottom - box.top) / 2
    dx, dy = half_w + NEAR + w / 2, half_h + NEAR + h / 2
    over = half_w * 0.7 + w / 2
    near = (
        (complex(dx, 0), 0.0),
        (complex(-dx, 0), 0.2),
        (complex(dx, -half_h), 0.6),
        (complex(-dx, -half_h), 0.7),
        (complex(dx, half_h), 0.6),
        (complex(-dx, half_h), 0.7),
        (complex(0, -dy), 1.0),
        (complex(0, dy), 1.0),
        (complex(over, -dy), 1.6),
        (complex(-over, -dy), 1.6),
        (complex(over, dy), 1.6),
        (complex(-over, dy), 1.6),
    )
    ring = np.repeat(np.array(RINGS), len(_WAYS))
    way = np.tile(_WAYS, len(RINGS))
    reach = np.minimum(
        (half_w + w / 2 + ring) / np.maximum(np.abs(way.real), 1e-6),
        (half_h + h / 2 + ring) / np.maximum(np.abs(way.imag), 1e-6),
    )
    at = np.concatenate([np.array([off for off, _ in near]), way * reach]) + box.centre
    costs = np.concatenate([np.array([c for _, c in near]), 3.0 + ring * 0.14 + 0.6 * np.abs(way.imag)])
    tied = np.arange(len(at)) >= len(near)
    x = np.clip(at.real, box.left, box.right)
    y = np.clip(at.imag, box.top, box.bottom)
    points = ((x + 1j * y) * 3 + box.centre) / 4
    return _boxes(at, w, h), points, costs, tied


def _beside_points(wanted: Wanted) -> tuple[Array, Places, Array, NDArray[np.bool_]]:
    w, h = wanted.label.width, wanted.label.height
    n = wanted.across
    level = abs(n.real) * w / 2 + abs(n.imag) * h / 2
    stand = np.concatenate([[NEAR], np.repeat(np.array(RINGS), len(_TILTS))])
    tilt = np.concatenate([[0.0], np.tile(_TILTS, len(RINGS))])
    lead = np.arange(len(stand)) > 0
    price = np.where(lead, 2.5 + 0.12 * stand + np.abs(tilt), 0.0)
    at, points, costs = [], [], []
    for k, p in enumerate(wanted.points):
        for sign in (1, -1):
            at.append(p + n * sign * (level + stand) + n * 1j * tilt * stand)
            points.append(np.full(len(stand), p))
            costs.append(price + 0.35 * k + (0.0 if sign > 0 else 0.3))
    times = 2 * len(wanted.points)
    return (
        _boxes(np.concatenate(at), w, h),
        np.concatenate(points),
        np.concatenate(costs),
        np.tile(lead, times),
    )


def _boxes(at: Places, w: float, h: float) -> Array:
    return np.stack([at.real - w / 2, at.imag - h / 2, at.real + w / 2, at.imag + h / 2], axis=1)


def _target(wanted: Wanted) -> complex:
    return wanted.box.centre if wanted.box is not None else wanted.points[0]


def _rows(boxes: Sequence[Box]) -> Array:
    return np.array([[b.left, b.top, b.right, b.bottom] for b in boxes], dtype=np.float64).reshape(-1, 4)


def _overlap(a: Array, b: Array) -> NDArray[np.bool_]:
    return np.asarray(
        (a[:, None, 0] < b[None, :, 2])
        & (b[None, :, 0] < a[:, None, 2])
        & (a[:, None, 1] < b[None, :, 3])
        & (b[None, :, 1] < a[:, None, 3])
    )


def _leaders(boxes: Array, points: Places) -> Array:
    """From the nearest point of each label's edge, set back a little, to its point (n, 5)."""
    px, py = points.real, points.imag
    left, top, right, bottom = boxes.T
    x = np.clip(px, left, right)
    y = np.clip(py, top + 4, bottom - 4)
    beside = (px < left) | (px > right)
    x = np.where(px > right, right + 2, np.where(px < left, left - 2, x))
    y = np.where(beside, y, np.where(py > bottom, bottom + 1, top - 1))
    return np.stack([x, y, px, py, np.full(len(x), 0.6)], axis=1)


def _crossed(lines: Array, rows: Array) -> NDArray[np.bool_]:
    """Whether lines (n, 5) cross rows (m, 5) in their insides; (n, m)."""
    x1, y1, x2, y2 = (lines[:, None, k] for k in range(4))
    a, b, c, d = (rows[None, :, k] for k in range(4))
    dx, dy, ex, ey = x2 - x1, y2 - y1, c - a, d - b
    first = (dx * (b - y1) - dy * (a - x1)) * (dx * (d - y1) - dy * (c - x1)) < 0
    second = (ex * (y1 - b) - ey * (x1 - a)) * (ex * (y2 - b) - ey * (x2 - a)) < 0
    return np.asarray(first & second)
