"""The most of a plan that can be rigged whole: how many copies of each line, with not a piece missing."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from ropewright.allotting.demand import Need, Unit
from ropewright.allotting.flow import Flow, Goal
from ropewright.allotting.groups import groups_of, wanted_of
from ropewright.allotting.stock import Item, Reserve

__all__ = ["Choice"]


class Choice(Flow):
    """A flow in which copies may be left out; those of one line are alike.

    ``rigged``: by line the variable of how many copies are rigged.
    """

    def __init__(
        self, needs: Sequence[Need], held: Sequence[Item], reserve: Sequence[Reserve], day: date
    ) -> None:
        wanted = wanted_of(needs, held, reserve)
        self.needs = needs
        self.copies = Counter(unit.line for unit in dict.fromkeys(need.unit for need in needs))
        self.rigged: dict[int, int] = {}
        super().__init__(wanted, groups_of(wanted, held, day))

    def meet(self) -> None:
        """What is served is what the copies that are rigged ask for; only the reserve may be short."""
        add = self.programme
        self.rigged = {line: add.variable(count) for line, count in self.copies.items()}
        self.gone = {line: add.variable(1) for line in self.copies}
        for line, rigged in self.rigged.items():
            add.row([(rigged, 1.0), (self.gone[line], 1.0)], 1.0, self.copies[line] + 1.0)
        alike: dict[tuple[Need, ...], list[int]] = defaultdict(list)
        for line in self.copies:
            alike[_what(self.needs, line)].append(line)
        self.lost = [add.variable(1) for _ in alike]
        for lost, lines in zip(self.lost, alike.values(), strict=True):
            add.row([(lost, 1.0), *((self.gone[line], -1.0) for line in lines)], 1.0 - len(lines), 1.0)
        for k, one in enumerate(self.wanted):
            if one.stays:
                add.row(self.into[k], one.count, one.count)
                continue
            asked: Counter[int] = Counter()
            for n in one.needs:
                asked[self.needs[n].unit.line] += self.needs[n].count
            terms = [(self.rigged[line], -count / self.copies[line]) for line, count in asked.items()]
            add.at_most([(self.unmet[k], 1.0)], 0.0)
            add.row([*self.into[k], *terms], 0.0, 0.0)

    def goals(self) -> list[Goal]:
        """The reserve whole; the fewest copies left out; the fewest kinds of rig lost, then the fewest lines;
        the least lent, the fewest inspected; of lines that could take each other's place the later is left
        out.
        """
        last = len(self.rigged)
        return [
            self.off_the_rig,
            dict.fromkeys(self.rigged.values(), -1.0),
            dict.fromkeys(self.lost, 1.0),
            dict.fromkeys(self.gone.values(), 1.0),
            self.lent,
            self.inspected,
            {x: float(k - last) for k, x in enumerate(self.rigged.values())},
        ]


def _what(needs: Sequence[Need], line: int) -> tuple[Need, ...]:
    """What one copy of a line asks for: lines that ask for the same are the same kind of rig."""
    mine = [need for need in needs if need.unit.line == line]
    return tuple(replace(need, unit=Unit(0), parts=()) for need in mine if need.unit == mine[0].unit)
