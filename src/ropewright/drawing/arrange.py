"""Which side each thing goes to: the order of rows that keeps ropes off each other and off what they pass."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from .cluster import Cluster, Placed, Setting, Tree
from .geometry import crossings, dot, unit
from .heads import NARROW, WIDE, clear_sides, shoulders_at, sides
from .ropes import LOOP, Strand, Wrap, run_ropes, with_ends

__all__ = ["Arranged", "Rows", "arrange", "arrange_crews"]

ROUNDS = 3
NUDGES = (-20.0, 20.0, -40.0, 40.0, -60.0, 60.0)
"""How far [page units] a crew is moved aside so that its rope clears what it passes."""
CROSSED, THROUGH, LOOPED = 10.0, 8.0, 8.0


@dataclass(frozen=True)
class Arranged:
    """Everything in its place for one choice of orders, and how ill it reads: ``trouble`` counts ropes that
    cross each other or run through things, ``cost`` adds their length.
    """

    placed: Placed
    side: Mapping[str, int]
    strands: tuple[Strand, ...]
    wraps: tuple[Wrap, ...]
    cost: float
    trouble: float


class Rows:
    """A tree on a page, placed for one choice of orders after another; what came out is remembered."""

    def __init__(self, tree: Tree, centres: Sequence[complex], truth: Sequence[complex], plan: bool) -> None:
        self.tree, self.plan = tree, plan
        self._setting = Setting(tree, centres, truth)
        self._known: dict[Hashable, Arranged] = {}

    def settle(self, flips: Mapping[str, int]) -> Arranged:
        """Place everything for one choice (``flips``: ±1 for a rope, its rank under 'rank NAME')."""
        cluster = Cluster(self._setting, flips)
        found = self._known.get(cluster.order)
        if found is None:
            found = self._known[cluster.order] = self._settled(cluster)
        return found

    def _settled(self, cluster: Cluster) -> Arranged:
        cluster.start()
        for k in range(ROUNDS + 1):
            cluster.put()
            placed = Placed(dict(cluster.spots), dict(cluster.at), dict(cluster.axis))
            side = sides(self.tree, placed)
            bare = placed
            placed = with_ends(self.tree, bare, side, self.plan)
            strands, wraps = run_ropes(self.tree, placed.spots)
            if k < ROUNDS:
                cluster.relax([(s.first, s.second, s.start, s.end) for s in strands])
        clear = clear_sides(self.tree, placed, side, _held(self.tree, strands))
        if clear != side:
            side, placed = clear, with_ends(self.tree, bare, clear, self.plan)
            strands, wraps = run_ropes(self.tree, placed.spots)
        cost, trouble = _cost(self.tree, placed, side, strands, wraps)
        return Arranged(placed, side, tuple(strands), tuple(wraps), cost, trouble)


def _held(tree: Tree, strands: Sequence[Strand]) -> list[tuple[complex, complex]]:
    """The strands that stay where they are whichever side people sit on: neither free ends nor rope that
    somebody holds at his own gear.
    """
    own = {
        s.second
        for s in strands
        if tree.verb[s.second] == "tail"
        or (tree.verb[s.second] == "hand" and tree.node[tree.part[s.first]] == tree.node[tree.part[s.second]])
    }
    return [(s.start, s.end) for s in strands if s.second not in own]


def arrange(rows: Rows, tries: int) -> tuple[Arranged, dict[str, int]]:
    """Choose, rope by rope, on which side it begins, and the ropes' order beside each other."""
    ropes = list(dict.fromkeys(key[0] for key in rows.tree.verb))
    flips = dict.fromkeys(ropes, 1)
    best = rows.settle(flips)
    left = tries
    for _ in range(2):
        before = best.cost
        for trial in _trials(ropes, flips):
            if left <= 0 or not best.trouble:
                break
            left -= 1
            other = rows.settle(trial)
            if other.cost < best.cost - 0.4:
                best, flips = other, trial
        if best.cost >= before:
            break
    return best, flips


def arrange_crews(
    tree: Tree,
    centres: Sequence[complex],
    truth: Sequence[complex],
    flips: Mapping[str, int],
    plan: bool,
    best: Arranged,
) -> Arranged:
    """Move crews aside where their rope would run through something."""
    where = list(centres)
    for node, way in _crews(tree, best):
        there = [*where]
        there[node] = where[node] + _back_to_true(tree, best, node, truth)
        other = Rows(tree, there, truth, plan).settle(flips)
        if other.cost < best.cost + 2.0:
            best, where = other, there
        kept = where[node]
        for nudge in NUDGES:
            if not best.trouble:
                break
            there = [*where]
            there[node] = kept + way * 1j * nudge
            other = Rows(tree, there, truth, plan).settle(flips)
            if other.cost < best.cost - 2.0:
                best, where = other, there
    return best


def _back_to_true(tree: Tree, best: Arranged, node: int, truth: Sequence[complex]) -> complex:
    """How a crew at the end of a rope is moved so that its strand runs on the page as it does in truth."""
    for s in best.strands:
        a, b = tree.part[s.first], tree.part[s.second]
        if a and b and tree.node[b] == node and tree.node[a] != node:
            true = truth[node] - truth[tree.node[a]]
            if abs(true) < 1e-6:
                return 0j
            true = unit(true)
            run = s.end - s.start
            off = true * dot(run, true) - run
            return off if abs(off) < 70 else 0j
    return 0j


def _trials(ropes: Sequence[str], flips: Mapping[str, int]) -> list[dict[str, int]]:
    out = [{**flips, rope: -flips[rope]} for rope in ropes]
    if len(ropes) > 1:
        out.append({rope: -flips[rope] for rope in ropes})
    if 1 < len(ropes) <= 3:
        for order in list(permutations(range(len(ropes))))[1:]:
            ranks = {f"rank {rope}": order[k] for k, rope in enumerate(ropes)}
            out.append({**flips, **ranks})
            out += [{**flips, **ranks, rope: -flips[rope]} for rope in ropes]
    return out


def _crews(tree: Tree, best: Arranged) -> list[tuple[int, complex]]:
    """Crews at the end of one rope, with the way in which it comes to them."""
    out = []
    for name, body in tree.bodies.items():
        if body.kind == "crew" and len(body.lanes) == 1:
            way = next((s.end - s.start for s in best.strands if s.second == body.lanes[0]), 1 + 0j)
            out.append((tree.node[name], unit(way)))
    return out


def _cost(
    tree: Tree, placed: Placed, side: Mapping[str, int], strands: Sequence[Strand], wraps: Sequence[Wrap]
) -> tuple[float, float]:
    """How ill a drawing reads, with the length of the ropes and without."""
    lines = [(s.start, s.end) for s in strands if abs(s.end - s.start) > 1]
    # shortened a little, so that strands that meet at a contact don't count
    lines = [(a + unit(b - a) * 0.5, b - unit(b - a) * 0.5) for a, b in lines]
    for name, body in tree.bodies.items():
        if body.parent:
            a, b = placed.at[body.parent], placed.at[name]
            way = unit(b - a)
            lines.append((a + way * 3, b - way * 12))
    for key, verb in tree.verb.items():
        part = tree.part[key]
        if verb == "hand" and tree.kind(part) == "person":
            lines.append((placed.at[part] + complex(34 * side[part], -20), placed.spots[key].at))
    if not lines:
        return 0.0, 0.0
    starts = np.array([a for a, _ in lines])
    ends = np.array([b for _, b in lines])
    found = CROSSED * crossings(starts, ends) + LOOPED * sum(w.angle > LOOP for w in wraps)
    found += THROUGH * _through(tree, placed, side, strands)
    return found + float(np.abs(ends - starts).sum()) / 400.0, found


def _through(tree: Tree, placed: Placed, side: Mapping[str, int], strands: Sequence[Strand]) -> int:
    """How often a strand runs through something that it does not touch."""
    discs = _discs(tree, placed, side)
    if not discs or not strands:
        return 0
    middle = np.array([at for _, at, _ in discs])
    radius = np.array([r for _, _, r in discs])
    start = np.array([s.start for s in strands])
    run = np.array([s.end for s in strands]) - start
    size = np.maximum((run * run.conjugate()).real, 1e-9)
    share = ((middle[None, :] - start[:, None]) * run.conjugate()[:, None]).real / size[:, None]
    foot = start[:, None] + run[:, None] * np.clip(share, 0.0, 1.0)
    near: NDArray[np.bool_] = np.abs(middle[None, :] - foot) < radius[None, :]
    for k, strand in enumerate(strands):
        own = {tree.part[strand.first], tree.part[strand.second]}
        own |= {tree.bodies[p].parent for p in own if p}
        for n, (name, _, _) in enumerate(discs):
            if near[k, n] and name in own:
                near[k, n] = False
    return int(near.sum())


def _discs(tree: Tree, placed: Placed, side: Mapping[str, int]) -> list[tuple[str, complex, float]]:
    out = []
    for name, body in tree.bodies.items():
        at = placed.at[name]
        if body.kind == "anchor":
            out.append((name, at - placed.axis[name] * 6, 13.0))
        elif body.kind == "person":
            out.append((name, shoulders_at(tree, placed, name, side[name]), 14.0))
        elif body.kind == "crew":
            out.append((name, at + complex(28 * side[name], 24), 20.0))
        elif body.kind in ("object", "pack"):
            out.append((name, at + 24j, 16.0))
        elif body.kind == "litter":
            out += [(name, at + complex(x, 34), 12.0) for x in (-34, -12, 12, 34)]
        else:
            for key in body.lanes:
                if tree.verb[key] in ("through", "grip"):
                    wide = WIDE if body.kind == "device" else NARROW
                    out.append((name, placed.spots[key].at, wide if tree.verb[key] == "through" else 11.0))
    return out
