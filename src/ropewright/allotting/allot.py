"""Which item goes where: the best allotment of the stock to what a plan needs, and a proof that it is.

Each item serves one piece at most. In this order, each before the next: as much of the front line's reserve
as there is stays whole; the fewest pieces are left unmet; the fewest items are lent from the front line; the
fewest kits are opened; of what those and the loose items offer, what is at hand is used before what is still
away, and then what is due soonest; the least rope is too long; what is missing is missing in the fewest rigs;
each kit goes to the fewest rigs.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ropewright.allotting.demand import Need, Unit
from ropewright.allotting.flow import Flow, Goal
from ropewright.allotting.groups import Group, Wanted, groups_of, wanted_of
from ropewright.allotting.kits import fewest_kits
from ropewright.allotting.sharing import Sharing, kit_of
from ropewright.allotting.stock import Item, Reserve, trouble

__all__ = ["Allotment", "Given", "Goals", "allot", "usable"]


@dataclass(frozen=True, slots=True)
class Given:
    """An item and the piece that it serves: the number of the need, and what it is called in the rig."""

    need: int
    part: str
    item: Item


@dataclass(frozen=True, slots=True)
class Goals:
    """What each objective came to, in their order: pieces missing from the reserve, pieces unmet, items lent,
    kits opened, days to the dates of what is used, rope that is too long [mm], rigs with pieces missing, kits
    counted at each rig.
    """

    reserve: int = 0
    unmet: int = 0
    lent: int = 0
    kits: int = 0
    days: int = 0
    over: int = 0
    lacking: int = 0
    shares: int = 0


@dataclass(frozen=True, slots=True)
class Allotment:
    """Which item serves what.

    ``unmet``: how many pieces of each need nothing serves. ``proven``: whether every objective was proved to
    be the least; only how kits are shared may be left open.
    """

    needs: tuple[Need, ...]
    given: tuple[Given, ...]
    unmet: tuple[int, ...]
    goals: Goals
    proven: bool

    @property
    def short(self) -> int:
        """How many pieces are unmet in all."""
        return sum(self.unmet)

    @property
    def lent(self) -> tuple[Item, ...]:
        """What is lent from the front line."""
        return tuple(given.item for given in self.given if given.item.front_line)

    def of(self, unit: Unit) -> tuple[Given, ...]:
        """What one rig is given."""
        return tuple(given for given in self.given if self.needs[given.need].unit == unit)


def usable(
    stock: Iterable[Item], day: date, *, lend: bool = False, inspected: frozenset[str] = frozenset()
) -> tuple[Item, ...]:
    """What may be given out on a day; ``inspected``: marks of items taken as inspected by then."""
    return tuple(
        item
        for item in stock
        if (lend or not item.front_line)
        and (not (why := trouble(item, day)) or (why != "out" and item.mark in inspected))
    )


def allot(
    needs: Sequence[Need],
    stock: Iterable[Item],
    day: date,
    *,
    reserve: Sequence[Reserve] = (),
    lend: bool = False,
    inspected: frozenset[str] = frozenset(),
) -> Allotment:
    """The best allotment for a day.

    reserve: what stays on the rig where ``lend`` allows the front line to be lent. inspected: marks of
        items whose inspection is taken as done by then.
    """
    whole = tuple(needs)
    held = usable(stock, day, lend=lend, inspected=inspected)
    wanted = wanted_of(whole, held, tuple(reserve) if lend else ())
    groups = groups_of(wanted, held, day)
    kits, fewest = _kits(wanted, groups)
    at_hand = [g for g in groups if not g.like.kit or g.like.front_line or g.like.kit in kits]
    flow = Flow(wanted, at_hand)
    sharing = Sharing(flow, _asked(whole, wanted))
    goals = [flow.off_the_rig, flow.missing, flow.lent, flow.days, flow.over]
    found = flow.programme.least([*goals, sharing.lacking, sharing.pairs, sharing.later])
    sums = [round(sum(w * found[x] for x, w in goal.items())) for goal in goals]
    shares = sharing.out(found)
    used = {kit for _, kit, _ in shares if kit}
    given, unmet = _given(whole, wanted, _pool(flow, found), shares)
    totals = Goals(
        reserve=sums[0],
        unmet=sums[1],
        lent=sums[2],
        kits=len(used),
        days=sums[3],
        over=sums[4],
        lacking=len({need.unit for need, missing in zip(whole, unmet, strict=True) if missing}),
        shares=len({(kit, unit) for _, kit, unit in shares if kit}),
    )
    return Allotment(whole, given, unmet, totals, fewest and sharing.whole and flow.programme.proven)


def _kits(wanted: Sequence[Wanted], groups: Sequence[Group]) -> tuple[frozenset[str], bool]:
    """The kits to open; dates and lengths make no difference to that."""
    alike: dict[tuple[str, bool, tuple[int, ...]], list[Item]] = defaultdict(list)
    for group in groups:
        alike[group.like.kit, group.like.front_line, group.serves] += group.items
    coarse = tuple(Group(tuple(items), key[-1]) for key, items in alike.items())
    ends = _ends(wanted, coarse)

    def fails(opened: frozenset[str]) -> tuple[str, ...]:
        left = [g for g in coarse if not g.like.kit or g.like.front_line or g.like.kit in opened]
        now = _ends(wanted, left)
        return tuple(kind for kind in ends if now[kind] != ends[kind])

    missing = {kind: end[1] for kind, end in ends.items()}
    lent = {kind: end[2] for kind, end in ends.items()}
    return fewest_kits(wanted, coarse, missing, lent, fails)


def _ends(wanted: Sequence[Wanted], groups: Sequence[Group]) -> dict[str, tuple[int, ...]]:
    """Of each type: pieces missing from the reserve, pieces unmet, items lent, each least in this order.

    Types share no items, so that the least of all is the least of each.
    """
    flow = Flow(wanted, groups)
    goals: list[Goal] = [flow.off_the_rig, flow.missing, flow.lent]
    found = flow.programme.least(goals)
    kind_of = dict(zip(flow.unmet, (one.like.type for one in wanted), strict=True))
    kind_of |= {x: wanted[k].like.type for (_, k), x in flow.use.items()}
    out = {kind: [0] * len(goals) for kind in kind_of.values()}
    for n, goal in enumerate(goals):
        for x in goal:
            out[kind_of[x]][n] += found[x]
    return {kind: tuple(ends) for kind, ends in out.items()}


def _pool(flow: Flow, found: list[int]) -> dict[tuple[int, str], list[Item]]:
    """What was taken for each want, by the kit that it comes from; what is lent counts as loose."""
    pool: dict[tuple[int, str], list[Item]] = defaultdict(list)
    left = [list(group.items) for group in flow.groups]
    for (g, k), x in flow.use.items():
        if found[x] and not flow.wanted[k].stays:
            taken, left[g] = left[g][: found[x]], left[g][found[x] :]
            pool[k, kit_of(flow.groups[g])] += taken
    return pool


def _asked(needs: Sequence[Need], wanted: Sequence[Wanted]) -> Mapping[tuple[int, Unit], int]:
    """How many pieces of each want each rig asks for."""
    asked: Counter[tuple[int, Unit]] = Counter()
    for k, one in enumerate(wanted):
        for n in one.needs:
            asked[k, needs[n].unit] += needs[n].count
    return asked


def _given(
    needs: Sequence[Need],
    wanted: Sequence[Wanted],
    pool: Mapping[tuple[int, str], list[Item]],
    shares: Mapping[tuple[int, str, Unit], int],
) -> tuple[tuple[Given, ...], tuple[int, ...]]:
    """Items by name to the pieces of each rig, in the order in which the plan asks for them."""
    left = {key: list(items) for key, items in pool.items()}
    got: dict[tuple[int, Unit], list[Item]] = defaultdict(list)
    for (k, kit, unit), count in shares.items():
        got[k, unit] += left[k, kit][:count]
        del left[k, kit][:count]
    given, unmet = list[Given](), [need.count for need in needs]
    for k, one in enumerate(wanted):
        for n in one.needs:
            here = got[k, needs[n].unit][: needs[n].count]
            del got[k, needs[n].unit][: needs[n].count]
            given += [Given(n, needs[n].part(i), item) for i, item in enumerate(here)]
            unmet[n] -= len(here)
    return tuple(sorted(given, key=lambda one: one.need)), tuple(unmet)
