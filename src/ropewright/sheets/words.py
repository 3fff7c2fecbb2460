"""Words that several sections share."""

from __future__ import annotations

import re
from collections.abc import Iterable

__all__ = ["MARK", "capital", "counted", "labels", "listed"]

MARK = "†"
"""Stands behind what makes the hands let go."""
_NUMBER = re.compile(r" \d+(?=†?$)")

_IRREGULAR = {"person": "people", "harness": "harnesses"}


def counted(number: int, word: str) -> str:
    """A number and its word: `1 reset`, `3 resets`."""
    return f"{number} {word if number == 1 else _IRREGULAR.get(word, f'{word}s')}"


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def listed(words: Iterable[str]) -> str:
    """Words in a row: `a, b and c`."""
    found = list(words)
    return " and ".join([", ".join(found[:-1]), found[-1]]) if len(found) > 1 else "".join(found)


def labels(found: Iterable[str]) -> str:
    """What fails, in a row: a part with what joins it behind it, then all else that joins, by kind.

    `device, its carabiner-locking; rope main, its figure-eight-bight at beam; hand of crew on main`. A mark
    behind a label stays with it.
    """
    names = list(dict.fromkeys(found))
    own: dict[str, list[str]] = {name: [] for name in names if " of " not in name}
    bare = {name.rstrip(MARK).removeprefix("rope "): name for name in own}
    heads: dict[str, list[str]] = {}
    for name in names:
        head, of, tail = name.rpartition(" of ")
        whose, at, place = tail.rstrip(MARK).partition(" at ")
        mark = MARK if name.endswith(MARK) else ""
        if of and whose in bare:
            own[bare[whose]].append(f"{head}{at}{place}{mark}")
        elif of:
            heads.setdefault(f"{head}{of}", []).append(tail)
    alike: dict[tuple[str, ...], list[str]] = {}
    for name, joined in own.items():
        alike.setdefault(tuple(_without_numbers(joined)), []).append(name)
    said = [
        _with_joins(parts, joined) for joined, parts in sorted(alike.items(), key=lambda a: len(a[0]) > 0)
    ]
    return "; ".join([*said, *(f"{head}{', '.join(tails)}" for head, tails in heads.items())])


def _with_joins(parts: list[str], joined: tuple[str, ...]) -> str:
    if len(parts) > 1 and joined:
        return f"{', '.join(parts)}, the {' and the '.join(_merged(joined))} of each"
    return ", ".join([*parts, *(f"its {join}" for join in _merged(joined))])


def _merged(joins: Iterable[str]) -> list[str]:
    """`bowline at a` and `bowline at b` in one: `bowline at a and b`; so with numbers of one kind."""
    kinds: dict[str, list[str]] = {}
    for join in joins:
        kind, at, place = join.partition(" at ")
        if not at:
            kind, at, place = join.partition(" ")
        kinds.setdefault(f"{kind}{at}", []).append(place)
    return [f"{kind}{' and '.join(places)}" for kind, places in kinds.items()]


def _without_numbers(joins: list[str]) -> list[str]:
    """`carabiner-locking 1` is told without its number where it is the only one of its kind."""
    kinds = [_NUMBER.sub("", join) for join in joins]
    return joins if len(set(kinds)) < len(kinds) else kinds
