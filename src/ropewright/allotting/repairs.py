"""What would repair a plan that is short: found by solving again, and proved before it is told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from ropewright.allotting.allot import Allotment, usable
from ropewright.allotting.choice import Choice
from ropewright.allotting.demand import Need, Unit
from ropewright.allotting.flow import Flow
from ropewright.allotting.groups import INSPECTED, groups_of, wanted_of
from ropewright.allotting.stock import Item, Reserve, trouble

__all__ = ["Fetch", "Left", "Repair", "Repairs", "repairs_of"]


@dataclass(frozen=True, slots=True)
class Left:
    """A line of the plan that is rigged fewer times: how many copies are left out, of how many."""

    line: int
    count: int
    of: int


@dataclass(frozen=True, slots=True)
class Repair:
    """Something to do about a shortage.

    ``inspect``: items whose inspection is due, to be inspected by a competent person before the day.
    ``lend``: items lent from the front line. ``leave``: what is not rigged. ``unmet``: of each need of the
    plan how many pieces are still missing after it; what is left out needs nothing.
    """

    inspect: tuple[Item, ...]
    lend: tuple[Item, ...]
    leave: tuple[Left, ...]
    unmet: tuple[int, ...]

    @property
    def short(self) -> int:
        """How many pieces are still missing."""
        return sum(self.unmet)


@dataclass(frozen=True, slots=True)
class Fetch:
    """What would have to come from elsewhere: so many of a type that can do what the need asks."""

    need: Need
    count: int


@dataclass(frozen=True, slots=True)
class Repairs:
    """``ways``: each makes all that is left of the plan riggable. ``steps``: what each single step would do
    that is no such way already. ``fetch``: what would make the whole plan riggable if it came from elsewhere.
    """

    ways: tuple[Repair, ...]
    steps: tuple[Repair, ...]
    fetch: tuple[Fetch, ...]


def repairs_of(
    found: Allotment,
    stock: Iterable[Item],
    day: date,
    reserve: Sequence[Reserve] = (),
    *,
    lend: bool = False,
) -> Repairs:
    """The repairs of a plan; none where nothing is short. lend: whether the plan itself lends already."""
    if not found.short:
        return Repairs((), (), ())
    asked = _Asked(found, tuple(stock), day, tuple(reserve), lend)
    ways = tuple(asked.ways())
    steps = tuple(step for step in asked.steps() if step not in ways)
    return Repairs(ways, steps, tuple(asked.fetch()))


class _Asked:
    """One plan that is short, and its stock."""

    def __init__(
        self,
        found: Allotment,
        stock: tuple[Item, ...],
        day: date,
        reserve: tuple[Reserve, ...],
        lends: bool,
    ) -> None:
        kinds = {need.type for need in found.needs}
        self.needs, self.short, self.day, self.reserve = found.needs, found.short, day, reserve
        self.unmet, self.lends = found.unmet, lends
        self.whole = {item.mark: item for item in stock}
        self.stock = tuple(
            plain for item in stock if item.type in kinds and (plain := _plain(item, day)) is not None
        )
        self.due = frozenset(item.mark for item in self.stock if item.due is None)
        self.has_front = any(item.front_line for item in self.stock)
        copies: dict[int, list[Unit]] = defaultdict(list)
        for unit in dict.fromkeys(need.unit for need in self.needs):
            copies[unit.line].append(unit)
        self.copies = copies

    # --- single steps

    def steps(self) -> Iterator[Repair]:
        """What one step alone would do, where it does anything."""
        tried = [self.solved(inspect=True)]
        if not self.lends:
            tried.append(self.solved(lend=True))
        for line, units in self.copies.items():
            tried += self._fewer(line, len(units))
        yield from (
            repair for repair in tried if repair.short < self.short and not self._all_left(repair.leave)
        )

    def _fewer(self, line: int, of: int) -> Iterator[Repair]:
        """The line rigged once less, and as many times less as does what leaving out all of it would do."""
        one = self.solved(leave=(Left(line, 1, of),))
        yield one
        best = self.solved(leave=(Left(line, of, of),)) if of > 1 else one
        low, high = 1, of
        while low < high:
            middle = (low + high) // 2
            now = self.solved(leave=(Left(line, middle, of),))
            if now.short <= best.short:
                best, high = now, middle
            else:
                low = middle + 1
        if best.leave != one.leave:
            yield best

    def solved(self, *, inspect: bool = False, lend: bool = False, leave: tuple[Left, ...] = ()) -> Repair:
        """The plan solved again: the fewest pieces unmet, then the fewest lent and inspected."""
        lend = lend or self.lends
        gone = {unit for left in leave for unit in self.copies[left.line][left.of - left.count :]}
        kept = [k for k, need in enumerate(self.needs) if need.unit not in gone]
        needs = [self.needs[k] for k in kept]
        held = usable(self.stock, self.day, lend=lend, inspected=self.due if inspect else frozenset())
        flow = _flow(needs, held, self.reserve if lend else (), self.day)
        found = flow.programme.least([flow.off_the_rig, flow.missing, flow.lent, flow.inspected, flow.over])
        unmet = [0] * len(self.needs)
        for u, one in zip(flow.unmet, flow.wanted, strict=True):
            left = found[u]
            for n in reversed(one.needs):
                unmet[kept[n]] = min(left, needs[n].count)
                left -= unmet[kept[n]]
        looked, out = _named(flow, found)
        return Repair(self._records(looked), self._records(out), leave, tuple(unmet))

    def _records(self, items: Iterable[Item]) -> tuple[Item, ...]:
        """The items as the cache has them, by their marks."""
        return tuple(self.whole[mark] for mark in sorted(item.mark for item in items))

    # --- whole ways

    def ways(self) -> Iterator[Repair]:
        """With and without inspecting and lending: the most that can be rigged whole. Each is solved again as
        a plan of its own, which is the proof.
        """
        told: list[Repair] = []
        for inspect, lend in ((False, False), (True, False), (False, True), (True, True)):
            if (inspect and not self.due) or (lend and (self.lends or not self.has_front)):
                continue
            leave = self._least_left(inspect=inspect, lend=lend)
            if self._all_left(leave):
                continue
            way = self.solved(inspect=inspect, lend=lend, leave=leave)
            if way.short == 0 and not any(_no_worse(other, way) for other in told):
                told.append(way)
        yield from told

    def _all_left(self, leave: tuple[Left, ...]) -> bool:
        """Whether nothing at all of the plan is rigged."""
        return sum(left.count for left in leave) == sum(map(len, self.copies.values()))

    def _least_left(self, *, inspect: bool, lend: bool) -> tuple[Left, ...]:
        """The least that has to be left out for all the rest to be rigged whole."""
        lend = lend or self.lends
        held = usable(self.stock, self.day, lend=lend, inspected=self.due if inspect else frozenset())
        choice = Choice(self.needs, held, self.reserve if lend else (), self.day)
        found = choice.programme.least(choice.goals())
        rigged = {line: found[x] for line, x in choice.rigged.items()}
        return tuple(
            Left(line, len(units) - rigged[line], len(units))
            for line, units in self.copies.items()
            if rigged[line] < len(units)
        )

    # --- from elsewhere

    def fetch(self) -> Iterator[Fetch]:
        """The pieces that are missing, like ones together."""
        alike: dict[Need, int] = defaultdict(int)
        for need, missing in zip(self.needs, self.unmet, strict=True):
            if missing:
                alike[replace(need, unit=Unit(0), count=1, parts=())] += missing
        yield from (Fetch(need, count) for need, count in alike.items())


def _flow(needs: Sequence[Need], held: Sequence[Item], reserve: Sequence[Reserve], day: date) -> Flow:
    wanted = wanted_of(needs, held, reserve)
    return Flow(wanted, groups_of(wanted, held, day))


def _plain(item: Item, day: date) -> Item | None:
    """An item without what makes no difference to what is missing: its kit, and how soon it is due. None for
    one that no inspection brings back by the day.
    """
    why = trouble(item, day)
    return None if why == "out" else replace(item, kit="", due=None if why else date.max)


def _named(flow: Flow, found: list[int]) -> tuple[list[Item], list[Item]]:
    """The items that are inspected, and those that are lent."""
    looked, out = list[Item](), list[Item]()
    left = [list(group.items) for group in flow.groups]
    for (g, k), x in flow.use.items():
        taken, left[g] = left[g][: found[x]], left[g][found[x] :]
        if flow.wanted[k].stays:
            continue
        if flow.groups[g].days == INSPECTED:
            looked += taken
        if flow.groups[g].like.front_line:
            out += taken
    return looked, out


def _no_worse(other: Repair, way: Repair) -> bool:
    """Whether another way asks for nothing more: as much is rigged, nothing more is lent or inspected."""
    return (
        sum(left.count for left in other.leave) <= sum(left.count for left in way.leave)
        and len(other.inspect) <= len(way.inspect)
        and len(other.lend) <= len(way.lend)
    )
