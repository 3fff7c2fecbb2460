"""Items flow to what they can serve, each once; what no item reaches is unmet."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from ropewright.allotting.groups import INSPECTED, Group, Wanted
from ropewright.allotting.programme import Programme

__all__ = ["Flow", "Goal"]

Goal = dict[int, float]
"""Weights by variable; their sum is to be small."""


class Flow:
    """The programme of a stock and what is wanted of it, and the sums that may be made small."""

    def __init__(self, wanted: Sequence[Wanted], groups: Sequence[Group]) -> None:
        self.wanted, self.groups = wanted, groups
        self.programme = add = Programme()
        self.unmet = [add.variable(one.count) for one in wanted]
        self.use: dict[tuple[int, int], int] = {}
        into: list[list[tuple[int, float]]] = [[(u, 1.0)] for u in self.unmet]
        for g, group in enumerate(groups):
            for k in group.serves:
                x = self.use[g, k] = add.variable(min(len(group.items), wanted[k].count))
                into[k].append((x, 1.0))
            if len(group.serves) > 1:
                add.at_most([(self.use[g, k], 1.0) for k in group.serves], len(group.items))
        self.into = into
        self.meet()

    def meet(self) -> None:
        """What is served and what is unmet is all that is wanted."""
        for terms, one in zip(self.into, self.wanted, strict=True):
            self.programme.row(terms, one.count, one.count)

    @cached_property
    def served(self) -> list[tuple[int, Group, Wanted]]:
        """The variables that stand for items in rigs, with their group and their want."""
        return [
            (x, self.groups[g], self.wanted[k]) for (g, k), x in self.use.items() if not self.wanted[k].stays
        ]

    @property
    def off_the_rig(self) -> Goal:
        """Pieces missing from what stays on the rig."""
        return {u: 1.0 for u, one in zip(self.unmet, self.wanted, strict=True) if one.stays}

    @property
    def missing(self) -> Goal:
        """Pieces that nothing serves."""
        return {u: 1.0 for u, one in zip(self.unmet, self.wanted, strict=True) if not one.stays}

    @property
    def lent(self) -> Goal:
        """Items lent from the front line."""
        return {x: 1.0 for x, group, _ in self.served if group.like.front_line}

    @property
    def inspected(self) -> Goal:
        """Items that are taken as inspected."""
        return {x: 1.0 for x, group, _ in self.served if group.days == INSPECTED}

    @property
    def days(self) -> Goal:
        """Days to the dates of what is used."""
        return {x: float(group.days) for x, group, _ in self.served}

    @property
    def over(self) -> Goal:
        """Rope that is too long [mm]."""
        return {
            x: float(max(0, round(1000 * ((group.like.length or 0.0) - one.like.length))))
            for x, group, one in self.served
            if one.like.length is not None
        }
