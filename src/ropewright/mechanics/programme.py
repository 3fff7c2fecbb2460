"""The two linear programmes: what every tension can be at rest, and how much load the whole rig can bear.

Variables are the strand tensions, all of them non-negative, in units of the moved weight. Rows: equilibrium
of every free point; at every contact the ratios that friction allows; grips up to their slip. Positions are
given and do not move.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import highspy
import numpy as np
from numpy.typing import NDArray

from ropewright.patience import keep_time
from ropewright.solver import QuietSolver

from .errors import MechanicsError
from .model import Array, Contact, System, chord, wraps
from .segments import holding, lets_in

BOUND = 1e3
"""Tensions above this many times the moved weight count as not bounded by the load at all."""
TOLERANCE = 1e-9
MET, LIGHT = 1e-3, 0.02
"""Length of rope [m] below which its direction is lost, and weight, as a share of the moved weight, of gear
that dangles: what dangles so is borne by what it lies against.
"""


@dataclass(frozen=True, slots=True)
class Cap:
    """A part and what it bears: the sum of ``pulls`` must not exceed ``strength`` [N] in size.

    ``pulls`` are (strand, sign): the tension of a strand along its direction from start to end, or against
    it; ``weights`` are points whose weight hangs on the part too, those of the load growing with it.
    """

    name: str
    pulls: tuple[tuple[int, int], ...]
    strength: float
    weights: tuple[int, ...] = ()


@dataclass(frozen=True)
class Limit:
    """``multiple``: the greatest multiple of the load; ``first``: index of the cap that is reached, −1 if
    something else gives first; ``slips``: then the flat contact whose grip slips, −1 if it is friction
    that gives out; ``tension`` (S,) [N].
    """

    multiple: float
    first: int
    slips: int
    tension: Array


@dataclass
class _Rows:
    """Rows of a programme, sparse, each a sum of terms between two bounds."""

    columns: int
    index: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    start: list[int] = field(default_factory=lambda: [0])
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)

    def add(self, terms: Sequence[tuple[int, float]], lower: float, upper: float) -> None:
        for column, value in terms:
            if value != 0.0:
                self.index.append(column)
                self.value.append(value)
        self.start.append(len(self.index))
        self.lower.append(lower)
        self.upper.append(upper)

    def met_by(self, x: Array) -> bool:
        """Whether values of the columns satisfy every row, to the accuracy that the solver is asked for."""
        lengths = np.diff(np.array(self.start))
        rows = np.repeat(np.arange(len(lengths)), lengths)
        sums = np.bincount(rows, np.array(self.value) * x[np.array(self.index, dtype=np.int64)], len(lengths))
        over = np.maximum(np.array(self.lower) - sums, sums - np.array(self.upper))
        return bool(over.max(initial=-np.inf) <= TOLERANCE)


class Programme:
    """The rows of a rig at given positions, ready to be asked."""

    def __init__(
        self,
        system: System,
        position: Array,
        *,
        hands: bool,
        opened: bool = False,
        extra: int = 0,
        loads: Array | None = None,
        band: float = 0.0,
        dropped: NDArray[np.bool_] | None = None,
    ) -> None:
        """``hands``: hands may pull; ``extra``: further columns; ``loads`` (n,): weight [N] that grows
        with the first extra one; ``band``: force left over that is allowed, as a share of the weight;
        ``dropped`` (n,): points that have fallen away.
        """
        self.system, self.count, self.band = system, len(system.strands), band
        self.dropped = np.zeros(len(system.position), dtype=bool) if dropped is None else dropped
        self.scale = system.moved_weight
        self.unit, _ = chord(position, system.strands)
        self.wrap = wraps(system, self.unit).tolist()
        self.rows = _Rows(self.count + extra)
        self.upper = np.full(self.count + extra, BOUND)
        self.impossible = False
        self.growing = loads is not None
        self.slip_rows: dict[int, int] = {}
        self._equilibrium(loads, self._drawn_up(position))
        self._contacts(hands, opened)

    def _equilibrium(self, loads: Array | None, drawn_up: set[int]) -> None:
        s = self.system.strands
        fallen = self.dropped[s.start] | self.dropped[s.end]
        self.upper[: self.count][fallen] = 0.0
        nodes = [int(n) for n in self.system.free if not self.dropped[n] and int(n) not in drawn_up]
        place = dict(zip(nodes, range(len(nodes)), strict=True))
        terms: list[list[list[tuple[int, float]]]] = [[[], [], []] for _ in nodes]
        real, units = s.real.tolist(), self.unit.tolist()
        for ends, sign in ((s.start.tolist(), 1.0), (s.end.tolist(), -1.0)):
            for k, node in enumerate(ends):
                if real[k] and node in place:
                    for row, share in zip(terms[place[node]], units[k], strict=True):
                        if abs(share) > 1e-12:
                            row.append((k, sign * share))
        for n, axes in zip(nodes, terms, strict=True):
            weight = float(self.system.weight[n]) / self.scale
            grows = 0.0 if loads is None else float(loads[n]) / self.scale
            for axis, row in enumerate(axes):
                still = weight - grows if axis == 2 else 0.0
                if axis == 2 and grows:
                    row.append((self.count, -grows))
                if not row:
                    self.impossible |= abs(still) > max(1e-7, self.band)
                    continue
                self.rows.add(row, still - self.band, still + self.band)

    def _drawn_up(self, position: Array) -> set[int]:
        """Light points that hang with no length of rope: it has no direction to pull in, on either of its
        ends, so that what the point lies against bears its weight.
        """
        s = self.system.strands
        light = self.system.weight < LIGHT * self.scale
        light[self.system.fixed] = False
        if not light.any():
            return set()
        apart = position[s.end] - position[s.start]
        far = np.sqrt((apart * apart).sum(axis=1)) >= MET
        roped, reached = np.zeros(len(light), dtype=bool), np.zeros(len(light), dtype=bool)
        for nodes in (s.start, s.end):
            roped[nodes[s.real]] = True
            reached[nodes[s.real & far]] = True
        return set(np.flatnonzero(light & roped & ~reached).tolist())

    def _contacts(self, hands: bool, opened: bool) -> None:
        first = self.system.strand_at
        for c, contact in enumerate(self.system.contacts):
            after, before = first.get(c, -1), first.get(c - 1, -1)
            if contact.end:
                if contact.end == "tail" or not hands:
                    for k in (after, before):
                        if k >= 0:
                            self.upper[k] = 0.0
                continue
            if after < 0 or before < 0:
                self._made_fast(c, contact, after, before, hands, opened)
                continue
            holds = holding(contact, hands, opened)
            slip = contact.slips / self.scale
            drag = contact.slides / self.scale
            if holds in ("none", "backward"):
                with_end = math.exp(contact.forward.log_ratio(self.wrap[c]))
                self._pass([(after, 1.0), (before, -with_end)], drag)
            elif math.isfinite(slip):
                self._slip(c, [(after, 1.0), (before, -1.0)], slip)
            if holds in ("none", "forward"):
                with_start = math.exp(contact.backward.log_ratio(self.wrap[c]))
                self._pass([(before, 1.0), (after, -with_start)], drag)
            elif math.isfinite(slip):
                self._slip(c, [(before, 1.0), (after, -1.0)], slip)

    def _made_fast(
        self, c: int, contact: Contact, after: int, before: int, hands: bool, opened: bool
    ) -> None:
        """The first or last contact of a run: the free end beyond it pulls nothing."""
        strand = max(after, before)
        if strand < 0:
            return
        if lets_in(holding(contact, hands, opened), first=before < 0):
            self._pass([(strand, 1.0)], contact.slides / self.scale)
        elif math.isfinite(contact.slips):
            self._slip(c, [(strand, 1.0)], contact.slips / self.scale)

    def _pass(self, terms: list[tuple[int, float]], drag: float) -> None:
        """Rope passes unless friction and the drag of a grab keep it; the drag, a multiple of a weight,
        grows with the loads.
        """
        if self.growing:
            self.rows.add([*terms, (self.count, -drag)], -highspy.kHighsInf, 0.0)
        else:
            self.rows.add(terms, -highspy.kHighsInf, drag)

    def _slip(self, contact: int, terms: list[tuple[int, float]], most: float) -> None:
        self.slip_rows[len(self.rows.lower)] = contact
        self.rows.add(terms, -highspy.kHighsInf, most)

    def met_by(self, tension: Array) -> bool:
        """Whether tensions (S,) [N] keep to every row and bound, so that nobody has to look for others."""
        x = tension / self.scale
        within = (x >= -TOLERANCE) & (x <= self.upper[: self.count] + TOLERANCE)
        return bool(within.all()) and self.rows.met_by(x)

    def solver(self) -> QuietSolver:
        """A solver loaded with the rows, its cost zero."""
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = self.rows.columns, len(self.rows.lower)
        lp.col_cost_ = np.zeros(self.rows.columns)
        lp.col_lower_ = np.zeros(self.rows.columns)
        lp.col_upper_ = self.upper
        lp.row_lower_ = np.array(self.rows.lower)
        lp.row_upper_ = np.array(self.rows.upper)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(self.rows.start, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(self.rows.index, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(self.rows.value)
        out = QuietSolver()
        out.setOptionValue("presolve", "off")
        out.setOptionValue("threads", 1)
        out.setOptionValue("primal_feasibility_tolerance", TOLERANCE)
        out.passModel(lp)
        return out


def _optimum(solver: QuietSolver) -> Array | None:
    solver.solve_quietly()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kOptimal:
        return np.array(solver.getSolution().col_value)
    if status == highspy.HighsModelStatus.kInfeasible:
        return None
    raise MechanicsError(f"the linear programme ended with {solver.modelStatusToString(status)}")


def can_rest(
    system: System,
    position: Array,
    *,
    hands: bool = True,
    dropped: NDArray[np.bool_] | None = None,
    band: float = 1e-5,
    most: Mapping[int, float] | None = None,
    together: Sequence[tuple[Sequence[int], float]] = (),
    guess: Array | None = None,
) -> bool:
    """Whether any tensions hold the rig still at ``position`` (n, 3) to within ``band`` of its weight, grips
    not slipping.

    ``dropped`` (n,) marks points that have fallen away with the ropes on them. Strengths are not asked.
    ``most`` [N] bounds the tension of single strands, as a hand's grip does; ``together`` [N] bounds the sum
    over several, as the grip of whoever holds them all. ``guess`` (S,) [N] are tensions that may do it: they
    are tried first, and others sought only where they do not.
    """
    keep_time()
    programme = Programme(system, position, hands=hands, band=band, dropped=dropped)
    for strand, force in (most or {}).items():
        programme.upper[strand] = min(programme.upper[strand], force / programme.scale)
    for strands, force in together:
        programme.rows.add([(k, 1.0) for k in strands], -highspy.kHighsInf, force / programme.scale)
    if programme.impossible:
        return False
    if guess is not None and programme.met_by(guess):
        return True
    return _optimum(programme.solver()) is not None


def led_to_hands(system: System, position: Array, tension: Array) -> Array:
    """Tensions (S,) [N] that differ from given ones where a hand brakes: towards the hand each strand has
    what the one before it leaves, friction at each contact helping, and no less than given.
    """
    unit, _ = chord(position, system.strands)
    wrap, out, strand, flat = wraps(system, unit).tolist(), tension.tolist(), 0, 0
    for rope in system.ropes:
        last = len(rope.contacts) - 1
        if rope.contacts[last].end == "hand":
            for k in range(1, last):
                contact, before = rope.contacts[k], strand + k - 1
                if contact.holds in ("none", "forward"):
                    share = math.exp(-contact.backward.log_ratio(wrap[flat + k]))
                    out[before + 1] = max(out[before + 1], (out[before] - contact.slides) * share)
        strand, flat = strand + last, flat + last + 1
    return np.array(out)


def rest_bounds(system: System, position: Array, *, hands: bool = True) -> tuple[Array, Array] | None:
    """Least and greatest tension (S,) [N] of every strand at rest at ``position`` (n, 3), or None if nothing
    can rest there.

    Every tension that friction could hold lies within them. The greatest is infinite for a strand that can
    be tightened between fixed points without regard to the load.
    """
    programme = Programme(system, position, hands=hands)
    if programme.impossible:
        return None
    solver = programme.solver()
    low, high = np.zeros(programme.count), np.zeros(programme.count)
    for k in range(programme.count):
        for sense, out in ((1.0, low), (-1.0, high)):
            solver.changeColCost(k, sense)
            solution = _optimum(solver)
            if solution is None:
                return None
            out[k] = solution[k]
        solver.changeColCost(k, 0.0)
    high[high > 0.999 * BOUND] = np.inf
    return low * programme.scale, high * programme.scale


def limit(
    system: System,
    position: Array,
    loads: Array,
    caps: Sequence[Cap],
    *,
    hands: bool = True,
    band: float = 0.0,
    dropped: NDArray[np.bool_] | None = None,
) -> Limit | None:
    """The greatest multiple of ``loads`` (n,) [N] that equilibrium, grips and ``caps`` allow at ``position``
    (n, 3).

    The size of a sum of pulls is bounded by tangent planes, added where the answer breaks the bound until
    none does by more than one part in a thousand. ``band``: force left over that is allowed, as a share of
    the weight, since points shift a little as the load grows. ``dropped`` (n,) marks points that have
    fallen away with the ropes on them. None if the rig cannot rest there even without load.
    """
    programme = Programme(system, position, hands=hands, extra=1, loads=loads, band=band, dropped=dropped)
    if programme.impossible:
        return None
    one = programme.count
    programme.upper[one] = 1e6
    programme.upper[:one] = np.where(programme.upper[:one] > 0, 1e6, 0.0)
    solver = programme.solver()
    solver.changeColCost(one, -1.0)
    planes: list[int] = []
    base = len(programme.rows.lower)
    for _ in range(40 * max(1, len(caps))):
        solution = _optimum(solver)
        if solution is None:
            return None
        broken = False
        for number, cap in enumerate(caps):
            force = _sum_of(programme, cap, solution, loads)
            size = float(np.linalg.norm(force))
            if size * programme.scale > cap.strength * (1 + 1e-3):
                _add_plane(solver, programme, cap, force / size, loads)
                planes.append(number)
                broken = True
        if not broken:
            first, slips = _tight(solver, programme, planes, base)
            return Limit(float(solution[one]), first, slips, solution[:one] * programme.scale)
    raise MechanicsError("the limit programme did not close on the strengths")


def _sum_of(programme: Programme, cap: Cap, solution: Array, loads: Array) -> Array:
    force = np.zeros(3)
    for k, sign in cap.pulls:
        force += sign * solution[k] * programme.unit[k]
    for n in cap.weights:
        grows = float(loads[n])
        still = float(programme.system.weight[n]) - grows
        force[2] -= (still + solution[programme.count] * grows) / programme.scale
    return force


def _add_plane(solver: QuietSolver, programme: Programme, cap: Cap, along: Array, loads: Array) -> None:
    terms: dict[int, float] = {}
    for k, sign in cap.pulls:
        terms[k] = terms.get(k, 0.0) + sign * float(programme.unit[k] @ along)
    room = cap.strength / programme.scale
    for n in cap.weights:
        grows = float(loads[n])
        room += (float(programme.system.weight[n]) - grows) / programme.scale * float(along[2])
        terms[programme.count] = terms.get(programme.count, 0.0) - grows / programme.scale * float(along[2])
    solver.addRow(
        -highspy.kHighsInf,
        room,
        len(terms),
        np.array(list(terms), dtype=np.int32),
        np.array(list(terms.values())),
    )


def _tight(solver: QuietSolver, programme: Programme, planes: list[int], base: int) -> tuple[int, int]:
    """The cap whose plane carries the greatest multiplier, and the contact whose slip does; −1 where none."""
    dual = np.abs(np.array(solver.getSolution().row_dual))
    caps = dual[base : base + len(planes)]
    if len(caps) and caps.max() > 1e-9:
        return planes[int(np.argmax(caps))], -1
    slipping = [(dual[row], contact) for row, contact in programme.slip_rows.items() if dual[row] > 1e-9]
    return -1, max(slipping)[1] if slipping else -1
