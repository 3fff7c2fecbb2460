"""The fewest kits that have to be opened."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence

from ropewright.allotting.groups import Group, Wanted
from ropewright.allotting.programme import Programme

__all__ = ["fewest_kits"]

MOST_SETS = 64
"""How many sets of wants of one type get a row of their own; more are only looked at where it matters."""

Fails = Callable[[frozenset[str]], tuple[str, ...]]
"""Given the kits that are opened, the types for which more is missing or lent than has to be."""


def fewest_kits(
    wanted: Sequence[Wanted],
    groups: Sequence[Group],
    missing: Mapping[str, int],
    lent: Mapping[str, int],
    fails: Fails,
) -> tuple[frozenset[str], bool]:
    """The kits to open, and whether fewer are proved not to do.

    missing, lent: what each type comes to with every kit open. A row for each set of wants says that loose
    items and opened kits reach it as they must (Hall's condition). Should the kits found not do for a type
    all the same, one more kit with such items has to be opened: another row, and again.
    """
    by_type: dict[str, set[str]] = defaultdict(set)
    for group in groups:
        if group.like.kit and not group.like.front_line:
            by_type[group.like.type].add(group.like.kit)
    kits = sorted(set().union(*by_type.values()))
    programme = Programme()
    opened = {kit: programme.variable(1) for kit in kits}
    for asked, has in _hall(wanted, groups, missing, lent):
        terms = [(opened[kit], float(min(count, asked))) for kit, count in sorted(has.items())]
        programme.row(terms, float(asked), float(sum(has.values()) + asked))
    while True:
        found = programme.least([dict.fromkeys(opened.values(), 1.0)])
        chosen = frozenset(kit for kit in kits if found[opened[kit]])
        short = fails(chosen)
        if not short:
            return chosen, programme.proven
        for kind in short:
            more = [(opened[kit], 1.0) for kit in sorted(by_type[kind] - chosen)]
            programme.row(more, 1.0, float(len(more)))


def _hall(
    wanted: Sequence[Wanted], groups: Sequence[Group], missing: Mapping[str, int], lent: Mapping[str, int]
) -> Iterator[tuple[int, Counter[str]]]:
    """For sets of wants: how many pieces kits have to give, and how many each kit could."""
    for kind in dict.fromkeys(one.like.type for one in wanted if not one.stays):
        here = [group for group in groups if group.like.type == kind]
        for together in _closed(kind, wanted, here):
            asked = sum(wanted[k].count for k in together) - missing[kind]
            has, front = Counter[str](), 0
            for group in here:
                if not together.isdisjoint(group.serves):
                    if group.like.front_line:
                        front += len(group.items)
                    elif group.like.kit:
                        has[group.like.kit] += len(group.items)
                    else:
                        asked -= len(group.items)
            asked -= min(front, lent[kind])
            if asked > 0:
                yield asked, has


def _closed(kind: str, wanted: Sequence[Wanted], groups: Sequence[Group]) -> list[frozenset[int]]:
    """Sets of wants of a type to which no other can be added without another group reaching them."""
    own = [k for k, one in enumerate(wanted) if one.like.type == kind and not one.stays]
    reached = {k: frozenset(g for g, group in enumerate(groups) if k in group.serves) for k in own}

    def close(reach: frozenset[int]) -> frozenset[int]:
        return frozenset(k for k in own if reached[k] <= reach)

    sets = list(dict.fromkeys(close(reached[k]) for k in own))
    for a in sets:  # grows while it is walked
        for k in own:
            union = close(frozenset().union(*(reached[j] for j in a), reached[k]))
            if len(sets) < MOST_SETS and union not in sets:
                sets.append(union)
    return sets
