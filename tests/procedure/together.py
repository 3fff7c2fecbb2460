"""The same rig let go in many ways at once: the stepping of `tests.judgement.oracle`, in one array.

A moment has some twenty things that can go, and each is stepped through the same seconds; one after the other
that takes ten times as long. `test_agreement` holds the two to the same answers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.judgement.state import State
from ropewright.rig import Rig
from tests.judgement.oracle import DRAG, INERTIA, SPRING, STEP, Answer, Came, Picture, Tug

BELOW = (
    8.0  # m: what is so far below all that is drawn, the ground too, has fallen; no rope here stretches so
)
WINDOW = 500  # steps
SINKS = 0.002  # m in a window: slower than anything slips, and no more than 25 mm in a minute

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class _Gates:
    """The gates of one rank, at most one of each copy: the pieces of rope on both sides, and what passes."""

    before: Ints
    behind: Ints
    onward: Bools
    back: Bools
    slips: Floats


@dataclass(frozen=True)
class _Ends:
    """The hands and grips at ends of one rank: the piece of rope, and what holds it at most [N]."""

    piece: Ints
    most: Floats


class _Together:
    def __init__(self, tugs: Sequence[Tug]) -> None:
        nodes = np.cumsum([0, *(len(t.fast) for t in tugs)])
        pieces = np.cumsum([0, *(len(t.amount) for t in tugs)])
        self.nodes = nodes
        self.fast = np.concatenate([t.fast for t in tugs])
        self.at = np.concatenate([t.at for t in tugs])
        self.speed = np.zeros_like(self.at)
        self.weight = np.concatenate([t.weight for t in tugs])
        self.start = _joined([t.start for t in tugs], nodes)
        self.end = _joined([t.end for t in tugs], nodes)
        self.ids = _joined([t.piece for t in tugs], pieces)
        self.copy_of = np.repeat(np.arange(len(tugs)), [len(t.amount) for t in tugs])
        self.amount = np.array([a for t in tugs for a in t.amount])
        self.open = np.array([o for t in tugs for o in t.open], dtype=bool)
        self.gates, self.ends = [], []
        for rank in zip_longest(*(t.gates for t in tugs)):
            row = [(g[0] + p, g[1] + p, *g[2:]) for g, p in zip(rank, pieces, strict=False) if g is not None]
            a, b, onward, back, slips = zip(*row, strict=True)
            self.gates.append(
                _Gates(np.array(a), np.array(b), np.array(onward), np.array(back), np.array(slips))
            )
        for ends in zip_longest(*(t.hand for t in tugs)):
            held = [(e[0] + p, e[1]) for e, p in zip(ends, pieces, strict=False) if e is not None]
            self.ends.append(_Ends(np.array([k for k, _ in held]), np.array([m for _, m in held])))

    def step(self) -> None:
        d = self.at[self.end] - self.at[self.start]
        length = np.sqrt(np.einsum("ij,ij->i", d, d))
        pull = self._pulls(self._whole(length))
        force = (pull[self.ids] / np.maximum(length, 1e-3))[:, None] * d
        count = len(self.at)
        total = np.empty_like(self.at)
        for axis in range(3):
            total[:, axis] = np.bincount(self.start, force[:, axis], count)
            total[:, axis] -= np.bincount(self.end, force[:, axis], count)
        total[:, 2] -= self.weight
        total[self.fast] = 0.0
        self.speed = (self.speed + STEP / INERTIA * total) / (1.0 + STEP * DRAG / INERTIA)
        self.at += STEP * self.speed

    def _whole(self, length: Floats) -> Floats:
        out: Floats = np.bincount(self.ids, length, len(self.amount)).astype(np.float64)
        return out

    def stretch(self) -> Floats:
        """By how much [m] the ropes of each copy are longer than they were cut."""
        d = self.at[self.end] - self.at[self.start]
        over = np.maximum(0.0, self._whole(np.sqrt((d * d).sum(axis=1))) - self.amount)
        over[self.open] = 0.0
        out: Floats = np.bincount(self.copy_of, over, len(self.nodes) - 1).astype(np.float64)
        return out

    def _pulls(self, whole: Floats) -> Floats:
        amount = self.amount
        firm = SPRING / np.maximum(0.5, amount)
        yields = np.where(self.open, 0.0, firm)
        pull: Floats = np.maximum(0.0, yields * (whole - amount))
        for _ in range(3):
            for g in self.gates:
                asks = pull[g.behind] - pull[g.before]
                onwards = asks > 0
                size = np.abs(asks)
                over = np.where(np.where(onwards, g.onward, g.back), size, size - g.slips)
                some = over > 0
                if not some.any():
                    continue
                donor = np.where(onwards, g.before, g.behind)[some]
                taker = np.where(onwards, g.behind, g.before)[some]
                give = over[some] / (firm[taker] + yields[donor])
                amount[taker] += give
                pull[taker] = np.maximum(0.0, pull[taker] - firm[taker] * give)
                shut = ~self.open[donor]
                donor = donor[shut]
                amount[donor] -= give[shut]
                pull[donor] = np.maximum(0.0, firm[donor] * (whole[donor] - amount[donor]))
            for e in self.ends:
                over = pull[e.piece] - e.most
                some = over > 0
                if some.any():
                    amount[e.piece[some]] += over[some] / firm[e.piece[some]]
                    pull[e.piece[some]] = e.most[some]
        return pull


def _joined(parts: Sequence[Sequence[int]], shift: Ints) -> Ints:
    return np.array([k + s for part, s in zip(parts, shift, strict=False) for k in part], dtype=np.int64)


@dataclass(frozen=True)
class Case:
    """A rig as it is read with something gone, where everything is, what the hands at each place hold [N]."""

    rig: Rig
    picture: Picture
    state: State
    grip: Mapping[str, float]


def watched_together(
    cases: Sequence[Case], catalogue: Catalogue, longest: float, still: float
) -> list[dict[str, Came]]:
    """Let every case go and tell of each of its loads what became of it.

    ``longest`` [s]; ``still`` [m/s]: slower than this in every direction, a load counts as at rest.
    """
    loads = [(k, name) for k, case in enumerate(cases) for name in case.rig.loads]
    if not loads:
        return [{} for _ in cases]
    tugs = [Tug(c.rig, catalogue, c.picture, c.state, c.grip) for c in cases]
    many = _Together(tugs)
    where = np.array([cases[k].picture.cluster[name] + many.nodes[k] for k, name in loads], dtype=np.int64)
    floor = np.array([_floor(case, tug) for case, tug in zip(cases, tugs, strict=True)])[
        [k for k, _ in loads]
    ]
    before = lowest = np.full(len(loads), np.inf)
    steady = np.zeros(len(loads), dtype=bool)
    for number in range(1, int(longest / STEP) + 1):
        many.step()
        lowest = np.minimum(lowest, many.at[where, 2])
        if number % WINDOW == 0:
            steady = lowest > before - SINKS
            before, lowest = lowest, np.full(len(loads), np.inf)
        if number % 50 == 0 and number > 200:
            rests = np.abs(many.speed[where]).max(axis=1) < still
            if (rests | steady | (many.at[where, 2] < floor)).all():
                break
    stretch = many.stretch()
    out: list[dict[str, Came]] = [{} for _ in cases]
    for (k, name), node, calm, fallen in zip(loads, where, steady, many.at[where, 2] < floor, strict=True):
        calm = calm or float(np.abs(many.speed[node]).max()) < still
        answer: Answer = "falls" if fallen else "rests" if calm else "unsure"
        out[k][name] = Came(answer, float(many.at[node, 2]), float(stretch[k]))
    return out


def _floor(case: Case, tug: Tug) -> float:
    """The height [m] below which a load has fallen: lower than all the rope there is could leave it, or far
    below the ground.
    """
    heights = tug.at[np.isfinite(tug.at[:, 2]), 2]
    low, high = float(heights.min()), float(heights.max())
    floor = low - (high - low) - 2.0 * sum(case.state.laid.values()) - 20.0
    if any(place.kind == "ground" for place in case.rig.points.values()):
        floor = max(floor, low - BELOW)
    return floor
