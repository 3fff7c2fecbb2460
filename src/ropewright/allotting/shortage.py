"""What is needed against what is owned, row by row: every shortage of a plan listed together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Literal

from ropewright.allotting.allot import Allotment
from ropewright.allotting.demand import Misfit, Need, Unit, fits, misfit
from ropewright.allotting.stock import Item, Reserve, trouble, trouble_text
from ropewright.quantity import Units

__all__ = ["Kept", "Row", "Status", "reserve_kept", "rows_of"]

Status = Literal["short", "ok, no spare", "ok"]


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of thing that the plan needs: a type, for ropes a length, a size where one is asked.

    ``needs``: the numbers of its needs. ``own``: items of this kind, front line left out; ropes count where
    they are long enough and not long enough for a longer row. ``out``: those that can't be used, and why.
    ``front``: what the front line holds of it. ``lent`` and ``longer``: what is used here from the front
    line, or of the ropes of longer rows.
    """

    type: str
    length: float | None
    size: str
    needs: tuple[int, ...]
    need: int
    own: tuple[Item, ...]
    out: tuple[tuple[Item, str], ...]
    front: tuple[Item, ...]
    gap: int
    spare: int
    strength: float | None
    user_mass: float | None
    lent: tuple[Item, ...] = ()
    longer: tuple[Item, ...] = ()

    @property
    def have(self) -> int:
        """How many can be used."""
        return len(self.own) - len(self.out)

    @property
    def status(self) -> Status:
        """In words."""
        if self.gap:
            return "short"
        return "ok" if self.spare else "ok, no spare"


@dataclass(frozen=True, slots=True)
class Kept:
    """A line of the reserve: how many of it the front line can use on the day, and how many may be lent."""

    reserve: Reserve
    holds: int

    @property
    def short(self) -> int:
        """How many are missing from the reserve as it is."""
        return max(0, self.reserve.count - self.holds)

    @property
    def lendable(self) -> int:
        """How many may be lent while the reserve stays whole."""
        return max(0, self.holds - self.reserve.count)


def rows_of(found: Allotment, stock: Iterable[Item], day: date, units: Units = "both") -> tuple[Row, ...]:
    """Every row of a plan, in the order in which its rigs ask for them; longer ropes before shorter ones.

    units: how figures are worded where an item can't serve.
    """
    needs = found.needs
    order: dict[str, dict[tuple[str, float], list[int]]] = defaultdict(lambda: defaultdict(list))
    for k, need in enumerate(needs):
        order[need.type][need.size, round(need.length or 0.0, 2)].append(k)
    by_type: dict[str, list[Item]] = defaultdict(list)
    for item in sorted(stock, key=lambda item: item.mark):
        by_type[item.type].append(item)
    out: list[Row] = []
    for kind, rows in order.items():
        ids = [rows[key] for key in sorted(rows, key=lambda key: (key[0], -key[1]))]
        out += _rows(found, ids, by_type[kind], day, units)
    return tuple(out)


def _rows(
    found: Allotment, rows: Sequence[list[int]], items: Sequence[Item], day: date, units: Units
) -> list[Row]:
    """The rows of one type, longest first: each item stands in the first that it fits, else in the last."""
    of = [[found.needs[k] for k in ids] for ids in rows]
    against, place = _placed([_different(needs) for needs in of], items)
    used = {given.item.mark: given for given in found.given if given.item.type == of[0][0].type}
    out = []
    for r, ids in enumerate(rows):
        last = r == len(rows) - 1
        here = [i for i in items if place[i.mark] == r or (last and place[i.mark] is None)]
        own = tuple(i for i in here if not i.front_line)
        unfit = [(i, _why(i, against[_figures(i)][r], day, units)) for i in own]
        given = [g for g in used.values() if g.need in ids]
        out.append(
            Row(
                type=of[r][0].type,
                length=of[r][0].length,
                size=of[r][0].size,
                needs=tuple(ids),
                need=sum(need.count for need in of[r]),
                own=own,
                out=tuple((i, why) for i, why in unfit if why),
                front=tuple(i for i in here if i.front_line),
                gap=sum(found.unmet[k] for k in ids),
                spare=sum(not why and i.mark not in used for i, why in unfit),
                strength=max((n.strength for n in of[r] if n.strength is not None), default=None),
                user_mass=max((n.user_mass for n in of[r] if n.user_mass is not None), default=None),
                lent=tuple(g.item for g in given if g.item.front_line),
                longer=tuple(g.item for g in given if place[g.item.mark] != r),
            )
        )
    return out


_Figures = tuple[float | None, float | None, float | None, str]


def _figures(item: Item) -> _Figures:
    """What decides, beside its type, which needs an item can serve: most items of a cache are alike in it."""
    return item.length, item.strength, item.user_mass, item.size


def _placed(
    asked: Sequence[Sequence[Need]], items: Iterable[Item]
) -> tuple[dict[_Figures, list[list[Misfit | None]]], dict[str, int | None]]:
    """What keeps items of each figures from each need of each row, and the first row that each item fits."""
    against = dict[_Figures, list[list[Misfit | None]]]()
    first = dict[_Figures, int | None]()
    place = dict[str, int | None]()
    for item in items:
        alike = _figures(item)
        if alike not in against:
            against[alike] = [[misfit(need, item) for need in needs] for needs in asked]
            fitting = (r for r, misfits in enumerate(against[alike]) if None in misfits)
            first[alike] = next(fitting, None)
        place[item.mark] = first[alike]
    return against, place


def _different(needs: Iterable[Need]) -> list[Need]:
    """Needs that ask for different things."""
    return list(
        {
            (n.length, n.strength, n.user_mass, n.size, n.type_strength, n.type_user_mass): n for n in needs
        }.values()
    )


def _why(item: Item, misfits: Sequence[Misfit | None], day: date, units: Units) -> str:
    """Why an item serves nothing of its row that day; empty where it could. ``misfits``: what keeps it from
    each of the row's needs.
    """
    told = [trouble_text(item, day)]
    first = misfits[0] if misfits else None
    if first is not None and None not in misfits:
        told.append(_told(first, units))
    return "; ".join(text for text in told if text)


@lru_cache(maxsize=1024)
def _told(found: Misfit, units: Units) -> str:
    return found.told(units)


def reserve_kept(reserve: Iterable[Reserve], stock: Iterable[Item], day: date) -> tuple[Kept, ...]:
    """What the front line holds of each line of the reserve that day."""
    front = [item for item in stock if item.front_line and not trouble(item, day)]
    return tuple(
        Kept(line, sum(fits(Need(Unit(-1), line.type, length=line.length), item) for item in front))
        for line in reserve
    )
