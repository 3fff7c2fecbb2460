"""Who is held, told twice more and slowly, from the rig file and without the mechanics that is tested.

``can_fall`` is a linear programme over motions without end: ropes are inequalities, contacts let rope
pass or do not. ``comes_to_rest`` lets the rig go and steps its motion through time, ropes pulling as
springs, grips sliding at their slip force, hands at their grip. Both read contacts by rules of their own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

import highspy
import numpy as np

from ropewright.catalogue import Catalogue
from ropewright.judgement.components import Component
from ropewright.judgement.state import State
from ropewright.rig import Contact, Rig, Rope

Key = tuple[str, str, int]
Answer = Literal["rests", "falls", "unsure"]
G = 9.80665

SPRING = 20_000.0  # EA [N] of every rope: soft, so that steps can be long; who is held does not depend on it
INERTIA = 80.0  # kg of every point, whatever it weighs: rest does not depend on it either
DRAG = 250.0  # N·s/m
STEP = 0.01  # s


@dataclass
class Reading:
    """One contact by this module's own rules: where it is and which way rope may pass it.

    ``onward``: towards the end of the run; ``back``: towards its start; ``supply``: rope comes and goes
    here without end.
    """

    cluster: int
    index: int
    onward: bool
    back: bool
    supply: bool = False
    slips: float = math.inf
    helps: float = 1.0  # tension that the hand's own end holds here, as a multiple, when rope runs out
    rubs: float = 1.0  # the same of a sheave or an edge, if the rope turned back on itself there


@dataclass
class Picture:
    """A rig as read: the cluster of each part, which clusters stand fast, the runs with their contacts."""

    cluster: dict[str, int] = field(default_factory=dict)
    fast: list[bool] = field(default_factory=list)
    runs: list[tuple[Rope, list[Reading]]] = field(default_factory=list)


def figure(rig: Rig, catalogue: Catalogue, part: str, kind: str, key: str, end: str) -> float | None:
    """A figure's low, likely or high end: the part's own, its type's in the rig, then the catalogue's."""
    for by in (part, kind):
        if key in rig.assume.get(by, {}):
            return float(getattr(rig.assume[by][key], end))
    entry = catalogue[kind].figures.get(key)
    return None if entry is None or entry.value is None else float(getattr(entry.value, end))


def read(rig: Rig, catalogue: Catalogue, gone: Iterable[Component], hands: bool) -> Picture:
    """Read a rig with some components gone; ``hands``: people hold on."""
    lost = {c.key for c in gone}
    out = Picture()
    _clusters(rig, lost, out)
    for rope in rig.ropes.values():
        if ("rope", rope.name, 0) in lost:
            continue
        gripped = hands and not any(("hand", rope.name, k) in lost for k in range(len(rope.run)))
        run: list[Reading] = []
        for k, contact in enumerate(rope.run):
            end = k in (0, len(rope.run) - 1)
            reading = _reading(rig, catalogue, rope, k, contact, lost, gripped, hands, out, end)
            if reading is not None:
                if contact.target is None and run:
                    reading.cluster = run[-1].cluster
                run.append(reading)
        if len(run) > 1 and run[0].cluster < 0:  # an end that was untied and hangs at what is behind it
            run[0].cluster = run[1].cluster
        if len(run) > 1:
            out.runs.append((rope, run))
    return out


def _clusters(rig: Rig, lost: set[Key], out: Picture) -> None:
    for name in (*rig.points, *rig.loads, *rig.crews):
        out.cluster[name] = len(out.fast)
        out.fast.append(name not in rig.loads and ("anchor", name, 0) not in lost)
    waiting = list(rig.gear.values())
    while waiting:
        item = waiting.pop(0)
        joins = len(item.via) or 1
        cut = (
            not isinstance(item.at, str)
            or ("gear", item.name, 0) in lost
            or ("gear", item.at, 0) in lost
            or any(("join", item.name, k) in lost for k in range(1, joins + 1))
        )
        if cut:
            out.cluster[item.name] = len(out.fast)
            out.fast.append(False)
        elif item.at in out.cluster:
            out.cluster[item.name] = out.cluster[item.at]
        else:
            waiting.append(item)


def _reading(
    rig: Rig,
    catalogue: Catalogue,
    rope: Rope,
    k: int,
    contact: Contact,
    lost: set[Key],
    gripped: bool,
    hands: bool,
    out: Picture,
    end: bool,
) -> Reading | None:
    name = contact.target or ""
    if contact.verb == "tail":
        return Reading(-1, k, True, True, supply=True)
    at = out.cluster[name]
    if contact.verb == "hand":
        own = hands and ("hand", rope.name, k) not in lost
        return Reading(at, k, not own, not own, supply=not own)
    missing = ("gear", name, 0) in lost or ("sheave", name, contact.sheave) in lost
    if contact.verb == "tie":
        missing = ("tie", rope.name, k) in lost or ("gear", name, 0) in lost
    if missing:
        return Reading(at, k, True, True, supply=True) if end else None
    if contact.verb == "tie":
        return Reading(at, k, False, False)
    if contact.verb == "over":
        place = rig.points[name]
        mu = figure(rig, catalogue, name, place.protection or place.surface or "", "friction", "likely")
        return Reading(at, k, True, True, rubs=math.exp(math.pi * (mu or 0.4)))
    item = rig.gear[name]
    rule = catalogue[item.type].holding
    slips = figure(rig, catalogue, name, item.type, "slips", "low")
    most = math.inf if slips is None else slips
    if item.state == "locked-off" and rule.locks_off and not (contact.reversed and rule.bites):
        return Reading(at, k, False, False, slips=most)
    opened = item.state == "in-hand" and gripped and contact.verb == "through"
    if opened or not (rule.bites or rule.one_way):
        ratio = None if contact.reversed else figure(rig, catalogue, name, item.type, "ratio", "likely")
        turns = figure(rig, catalogue, name, item.type, "efficiency", "likely")
        rubs = 1.0 / turns if turns and ratio is None else 1.0
        return Reading(at, k, True, True, helps=ratio or 1.0, rubs=rubs)
    return Reading(at, k, not contact.reversed, contact.reversed, slips=most)


# --- motions without end


class _Silent(highspy.Highs):
    def __init__(self) -> None:
        super(highspy.Highs, self).__init__()  # the package's own constructor prints a banner
        self.setOptionValue("output_flag", False)
        self.setOptionValue("threads", 1)  # as the mechanics has it: the library wants one count a process

    def optimum(self) -> list[float]:
        super(highspy.Highs, self).run()
        if self.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise RuntimeError(self.modelStatusToString(self.getModelStatus()))
        return list(self.getSolution().col_value)


def can_fall(
    rig: Rig, catalogue: Catalogue, gone: Iterable[Component], hands: bool, jams: bool = True
) -> dict[str, bool]:
    """Whether each load can sink without end.

    ``jams``: things dragged along a rope to an edge or a sheave stay there; without, they may come past it.

    Unknown are a velocity for each free cluster and a flow of rope at each contact; a strand takes at least
    |dx| + |dy| + |dz| of rope, so the flow into it is no less. Loads may sink at 1 at most; the sum of their
    sinking is made as great as can be. (Which motions have no end does not depend on the measure of length.)
    """
    picture = read(rig, catalogue, gone, hands)
    if not jams:
        _let_past(picture)
    free = {c: k for k, c in enumerate(c for c, fast in enumerate(picture.fast) if not fast)}
    columns = 3 * len(free)
    lower, upper = [-1e4] * columns, [1e4] * columns
    for name in rig.loads:
        lower[3 * free[picture.cluster[name]] + 2] = -1.0
        upper[3 * free[picture.cluster[name]] + 2] = 0.0
    rows: list[dict[int, float]] = []
    for _, run in picture.runs:
        flow = list(range(columns, columns + len(run)))
        columns += len(run)
        for reading in run:
            lower.append(-1e6 if reading.back else 0.0)
            upper.append(1e6 if reading.onward else 0.0)
        for k, (a, b) in enumerate(itertools.pairwise(run)):
            size = range(columns, columns + 3)
            columns += 3
            lower += [0.0] * 3
            upper += [1e5] * 3
            for axis, part in enumerate(size):
                for sign in (1.0, -1.0):
                    row = {part: 1.0}
                    for end, way in ((a, -sign), (b, sign)):
                        if end.cluster in free:
                            at = 3 * free[end.cluster] + axis
                            row[at] = row.get(at, 0.0) - way
                    rows.append(row)
            rows.append({flow[k]: 1.0, flow[k + 1]: -1.0} | dict.fromkeys(size, -1.0))
    cost = [0.0] * columns
    for name in rig.loads:
        cost[3 * free[picture.cluster[name]] + 2] = 1.0
    answer = _least(cost, lower, upper, rows)
    return {name: answer[3 * free[picture.cluster[name]] + 2] < -0.5 for name in rig.loads}


def _let_past(picture: Picture) -> None:
    """Take out the fast places that rope only passes, but where both its ends lead to one thing."""
    for number, (rope, run) in enumerate(picture.runs):
        fast = [k for k, r in enumerate(run) if not (r.onward and r.back and not r.supply)]
        kept = [run[0]] if not fast or fast[0] else []
        for k, r in enumerate(run):
            if k in fast or k == len(run) - 1:
                kept.append(r)
                continue
            ends = [{run[f].cluster for f in fast if side(f)} for side in (k.__gt__, k.__lt__)]
            loop = bool(ends[0] & ends[1])
            if not picture.fast[r.cluster] or loop:
                kept.append(r)
        picture.runs[number] = (rope, kept)


def _least(
    cost: list[float], lower: list[float], upper: list[float], rows: list[dict[int, float]]
) -> list[float]:
    """Least cost with every row ≥ 0."""
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(cost), len(rows)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = np.array(cost), np.array(lower), np.array(upper)
    lp.row_lower_, lp.row_upper_ = np.zeros(len(rows)), np.full(len(rows), highspy.kHighsInf)
    terms = [[(k, v) for k, v in row.items() if v] for row in rows]
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0, *(len(t) for t in terms)]).astype(np.int32)
    lp.a_matrix_.index_ = np.array([k for t in terms for k, _ in t], dtype=np.int32)
    lp.a_matrix_.value_ = np.array([v for t in terms for _, v in t])
    solver = _Silent()
    solver.passModel(lp)
    return solver.optimum()


# --- the motion itself


class Tug:
    """The rig as points and pieces of rope with gates between them, stepped through time."""

    def __init__(
        self,
        rig: Rig,
        catalogue: Catalogue,
        picture: Picture,
        state: State,
        grip: Mapping[str, float],
    ) -> None:
        self.fast = np.array(picture.fast)
        self.at = np.zeros((len(self.fast), 3))
        for part, c in picture.cluster.items():
            self.at[c] = state.at[part]
        for name in (*rig.points, *rig.loads, *rig.crews):
            self.at[picture.cluster[name]] = state.at[name]
        self.speed = np.zeros_like(self.at)
        self.weight = np.zeros(len(self.fast))
        self._masses(rig, catalogue, picture)
        self.start: list[int] = []
        self.end: list[int] = []
        self.piece: list[int] = []
        self.amount: list[float] = []
        self.open: list[bool] = []
        self.hand: list[tuple[int, float]] = []  # piece, what the hand or the grip at its end can hold
        self.gates: list[tuple[int, int, bool, bool, float]] = []
        for rope, run in picture.runs:
            self._rope(rope, run, state, grip)
        self.ids = np.array(self.piece)
        self.tight = np.zeros(len(self.amount))

    def _masses(self, rig: Rig, catalogue: Catalogue, picture: Picture) -> None:
        for load in rig.loads.values():
            self.weight[picture.cluster[load.name]] += G * load.mass.likely
        for item in rig.gear.values():
            joins = (item.via or ("carabiner-locking",)) if isinstance(item.at, str) else ()
            for part, kind in ((item.name, item.type), *((j, j) for j in joins)):
                mass = figure(rig, catalogue, part, kind, "mass", "likely")
                self.weight[picture.cluster[item.name]] += G * (mass or 0.0)

    def _rope(self, rope: Rope, run: list[Reading], state: State, grip: Mapping[str, float]) -> None:
        begin = len(self.amount)
        self._new(run[0].supply or run[0].onward)
        if run[0].slips < math.inf:
            self.hand.append((len(self.amount) - 1, run[0].slips))
        for a, b in itertools.pairwise(run):
            self.start.append(a.cluster)
            self.end.append(b.cluster)
            self.piece.append(len(self.amount) - 1)
            self.amount[-1] += sum(state.laid.get((rope.name, k), 0.0) for k in range(a.index, b.index))
            if b is run[-1]:
                self.open[-1] |= b.supply or b.back
                last = rope.run[b.index]
                if last.verb == "hand" and not b.supply:
                    most = grip.get(last.target or "", 0.0) * math.prod(r.helps for r in run)
                    self.hand.append((len(self.amount) - 1, most))
                elif b.slips < math.inf:
                    self.hand.append((len(self.amount) - 1, b.slips))
            elif not (b.onward and b.back):
                self._new(False)
                self.gates.append((len(self.amount) - 2, len(self.amount) - 1, b.onward, b.back, b.slips))
        assert len(self.amount) > begin

    def _new(self, supply: bool) -> None:
        self.amount.append(0.0)
        self.open.append(supply)

    def step(self) -> None:
        """One step of time: pulls of the ropes, then rope through the gates."""
        d = self.at[self.end] - self.at[self.start]
        length = np.sqrt((d * d).sum(axis=1))
        whole = np.bincount(self.ids, length, len(self.amount)).astype(np.float64)
        pull = self._pulls(whole)
        force = (pull[self.ids] / np.maximum(length, 1e-3))[:, None] * d
        total = np.zeros_like(self.at)
        np.add.at(total, self.start, force)
        np.add.at(total, self.end, -force)
        total[:, 2] -= self.weight
        total[self.fast] = 0.0
        self.speed = (self.speed + STEP / INERTIA * total) / (1.0 + STEP * DRAG / INERTIA)
        self.at += STEP * self.speed

    def stretch(self) -> float:
        """By how much [m] all ropes that pull are longer than they were cut."""
        d = self.at[self.end] - self.at[self.start]
        whole = np.bincount(self.ids, np.sqrt((d * d).sum(axis=1)), len(self.amount))
        over = (
            max(0.0, float(w) - a) for w, a, o in zip(whole, self.amount, self.open, strict=True) if not o
        )
        return sum(over)

    def _pulls(self, whole: np.typing.NDArray[np.float64]) -> np.typing.NDArray[np.float64]:
        """Tension of each piece once gates have passed and grips have slid as much as they do."""
        amount, count = self.amount, len(self.amount)
        firm = [SPRING / max(0.5, a) for a in amount]
        pull = [0.0 if self.open[k] else max(0.0, firm[k] * (whole[k] - amount[k])) for k in range(count)]
        for _ in range(3):
            for a, b, onward, back, slips in self.gates:
                over = pull[b] - pull[a]  # asks for rope from a to b
                if over > 0:
                    over = over if onward else over - slips
                    donor, taker = a, b
                else:
                    over = -over if back else -over - slips
                    donor, taker = b, a
                if over <= 0:
                    continue
                give = over / (firm[taker] + (0.0 if self.open[donor] else firm[donor]))
                amount[taker] += give
                pull[taker] = max(0.0, pull[taker] - firm[taker] * give)
                if not self.open[donor]:
                    amount[donor] -= give
                    pull[donor] = max(0.0, firm[donor] * (whole[donor] - amount[donor]))
            for k, most in self.hand:
                if pull[k] > most:
                    amount[k] += (pull[k] - most) / firm[k]
                    pull[k] = most
        return np.array(pull)


@dataclass(frozen=True)
class Came:
    """What became of one load: its answer, how high [m] it ended, and by how much [m] ropes had stretched."""

    answer: Answer
    height: float
    stretch: float


def comes_to_rest(
    rig: Rig,
    catalogue: Catalogue,
    state: State,
    gone: Iterable[Component],
    hands: bool,
    grip: Mapping[str, float],
    longest: float = 60.0,
    helped: bool = False,
) -> dict[str, Answer]:
    """Let the rig go from ``state`` and watch for ``longest`` [s] whether each load comes to rest.

    ``helped``: grips and hands hold more by all the friction that their rope could have.

    Ropes pull as soft springs without friction, points drag through a thick fluid, grabs slide freely the
    way they do not bite. A load counts as fallen once it is lower than all the rope there is could leave it.
    """
    picture = read(rig, catalogue, gone, hands)
    if helped:
        help_by_friction(picture)
    came = watched(rig, catalogue, picture, state, grip, longest)
    return {name: each.answer for name, each in came.items()}


def help_by_friction(picture: Picture) -> None:
    """Let grips and hands hold more by all the friction that their rope could have."""
    for _, run in picture.runs:
        more = math.prod(r.rubs for r in run)
        for r in run:
            r.slips *= more
        run[-1].helps *= more


def watched(
    rig: Rig,
    catalogue: Catalogue,
    picture: Picture,
    state: State,
    grip: Mapping[str, float],
    longest: float = 60.0,
    still: float = 1e-4,
) -> dict[str, Came]:
    """Let a rig as read go from ``state``, and tell of each load what became of it.

    ``still`` [m/s]: slower than this in every direction, a load counts as at rest.
    """
    tug = Tug(rig, catalogue, picture, state, grip)
    loads = {name: picture.cluster[name] for name in rig.loads}
    rope = sum(state.laid.values())
    heights = [z for z in tug.at[:, 2] if math.isfinite(z)]
    floor = min(heights) - (max(heights) - min(heights)) - 2.0 * rope - 20.0
    steps = int(longest / STEP)
    lowest = np.zeros(len(loads))
    for number in range(steps):
        tug.step()
        heights_now = tug.at[list(loads.values()), 2]
        if number <= steps // 2:
            lowest = heights_now if number < steps // 4 else np.minimum(lowest, heights_now)
        if number % 50 == 0:
            sunk = [tug.at[c, 2] < floor for c in loads.values()]
            rests = [abs(tug.speed[c]).max() < still for c in loads.values()]
            if all(a or b for a, b in zip(sunk, rests, strict=True)) and number > 200:
                break
    bottom = dict(zip(loads, lowest, strict=True))
    stretch = tug.stretch()
    return {
        name: Came(
            _answer(tug, c, floor, float(bottom[name]), max(1e-3, still)), float(tug.at[c, 2]), stretch
        )
        for name, c in loads.items()
    }


def _answer(tug: Tug, cluster: int, floor: float, lowest: float, still: float) -> Answer:
    """``lowest``: where it was lowest in the second quarter; what trembles there and sinks no more, rests."""
    if tug.at[cluster, 2] < floor:
        return "falls"
    if float(np.abs(tug.speed[cluster]).max()) < still or tug.at[cluster, 2] > lowest - 0.005:
        return "rests"
    return "unsure"
