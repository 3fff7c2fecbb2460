"""One rig worked out for several people: what each of its pieces has to be able to do for all of them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from ropewright.allotting.demand import Need
from ropewright.allotting.pieces import Worn

__all__ = ["worst_needs", "worst_worn"]


def worst_needs(several: Sequence[Sequence[Need]]) -> tuple[Need, ...]:
    """The needs of one rig at several masses as one: of each piece the most that is asked at any of them,
    and of what stands in for an item's own record the least.
    """
    if len(several) < 2:
        return tuple(several[0]) if several else ()
    found: dict[tuple[str, str, int], Need] = {}
    for needs in several:
        for key, piece in _pieces(needs):
            found[key] = _worse(found[key], piece) if key in found else piece
    alike: dict[Need, list[str]] = defaultdict(list)
    for (_, part, _), piece in found.items():
        alike[piece].append(part)
    return tuple(replace(need, count=len(parts), parts=tuple(parts)) for need, parts in alike.items())


def _pieces(needs: Iterable[Need]) -> Iterator[tuple[tuple[str, str, int], Need]]:
    """Every piece by its type, its name and which of that name it is; itself without either."""
    seen: Counter[tuple[str, str]] = Counter()
    for need in needs:
        for k in range(need.count):
            part = need.part(k)
            seen[need.type, part] += 1
            yield (need.type, part, seen[need.type, part]), replace(need, count=1, parts=())


def _worse(one: Need, other: Need) -> Need:
    return replace(
        one,
        length=_most(one.length, other.length),
        strength=_most(one.strength, other.strength),
        user_mass=_most(one.user_mass, other.user_mass),
        type_strength=_least(one.type_strength, other.type_strength),
        type_user_mass=_least(one.type_user_mass, other.type_user_mass),
    )


def _most(one: float | None, other: float | None) -> float | None:
    """The greater; None asks for nothing."""
    return max((each for each in (one, other) if each is not None), default=None)


def _least(one: float | None, other: float | None) -> float | None:
    """The smaller; None is not known, which never passes."""
    return None if one is None or other is None else min(one, other)


def worst_worn(several: Iterable[Sequence[Worn]]) -> tuple[Worn, ...]:
    """The limits of one rig at several masses as one: of each the least rating, and the most that hangs on it
    besides.
    """
    found: dict[tuple[str, str, str], Worn] = {}
    for worn in several:
        for one in worn:
            key = (one.person, one.part, one.type)
            had = found.get(key, one)
            found[key] = replace(one, most=_least(had.most, one.most), others=max(had.others, one.others))
    return tuple(found.values())
