"""What is short is short in the fewest rigs, and each kit goes to the fewest of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from ropewright.allotting.demand import Unit
from ropewright.allotting.flow import Flow, Goal
from ropewright.allotting.groups import Group

__all__ = ["Sharing", "kit_of"]

MOST_PAIRS = 36
"""Kits times rigs up to which the fewest are searched for: beyond it takes longer than anybody waits."""


def kit_of(group: Group) -> str:
    """The kit that items come out of; empty for loose ones and for what is lent."""
    return "" if group.like.front_line else group.like.kit


class Sharing:
    """Rows added to a flow that say which rig gets what, and the sums that may be made small by them.

    asked: pieces of each want by the rig that asks for them. ``whole``: whether kits are followed to the
    rigs; where many kits meet many rigs they are not, and all is handed out in the order of names.
    """

    def __init__(self, flow: Flow, asked: Mapping[tuple[int, Unit], int]) -> None:
        self.flow, self.asked = flow, asked
        self.rigs: dict[int, list[Unit]] = defaultdict(list)
        for k, unit in asked:
            self.rigs[k].append(unit)
        add = flow.programme
        self._lacks = {unit: add.variable(1) for unit in sorted({unit for _, unit in asked})}
        self._short = {key: add.variable(count) for key, count in asked.items()}
        for (_, unit), x in self._short.items():
            add.at_most([(x, 1.0), (self._lacks[unit], -add.upper[x])], 0.0)
        for k, units in self.rigs.items():
            add.row([*((self._short[k, unit], 1.0) for unit in units), (flow.unmet[k], -1.0)], 0.0, 0.0)
        self._goes: dict[tuple[str, Unit], int] = {}
        self._moves: dict[tuple[int, str, Unit], int] = {}
        uses = [(kit_of(flow.groups[g]), self.rigs[k]) for g, k in flow.use if k in self.rigs]
        pairs = {(kit, unit) for kit, units in uses if kit for unit in units}
        self.whole = len(pairs) <= MOST_PAIRS
        if self.whole:
            self._goes = {pair: add.variable(1) for pair in sorted(pairs)}
            self._follow()

    def _follow(self) -> None:
        """What comes out of a kit for a want goes to rigs that ask for it."""
        add = self.flow.programme
        taken: dict[tuple[int, str], list[int]] = defaultdict(list)
        for (g, k), x in self.flow.use.items():
            if k in self.rigs:
                taken[k, kit_of(self.flow.groups[g])].append(x)
        got: dict[tuple[int, Unit], list[int]] = defaultdict(list)
        for (k, kit), uses in taken.items():
            moves = []
            for unit in self.rigs[k]:
                x = self._moves[k, kit, unit] = add.variable(self.asked[k, unit])
                moves.append(x)
                got[k, unit].append(x)
                if kit:
                    add.at_most([(x, 1.0), (self._goes[kit, unit], -add.upper[x])], 0.0)
            add.row([*((x, 1.0) for x in moves), *((x, -1.0) for x in uses)], 0.0, 0.0)
        for key, count in self.asked.items():
            add.row([*((x, 1.0) for x in got[key]), (self._short[key], 1.0)], count, count)

    @property
    def lacking(self) -> Goal:
        """Rigs with pieces missing."""
        return dict.fromkeys(self._lacks.values(), 1.0)

    @property
    def pairs(self) -> Goal:
        """Kits counted at each rig that they go to."""
        return dict.fromkeys(self._goes.values(), 1.0)

    @property
    def later(self) -> Goal:
        """Rigs with pieces missing, an earlier one counting more than a later one."""
        return {y: float(len(self._lacks) - n) for n, y in enumerate(self._lacks.values())}

    def out(self, found: Sequence[int]) -> dict[tuple[int, str, Unit], int]:
        """How many pieces of each want each rig gets from each kit."""
        if self.whole:
            return {key: found[x] for key, x in self._moves.items() if found[x]}
        left: dict[tuple[int, str], int] = defaultdict(int)
        for (g, k), x in self.flow.use.items():
            left[k, kit_of(self.flow.groups[g])] += found[x]
        out: dict[tuple[int, str, Unit], int] = {}
        for (k, unit), count in sorted(self.asked.items(), key=lambda one: (one[0][1], one[0][0])):
            still = count - found[self._short[k, unit]]
            for key in sorted(key for key in left if key[0] == k):
                here = min(left[key], still)
                if here:
                    out[*key, unit] = here
                    left[key] -= here
                    still -= here
        return out
