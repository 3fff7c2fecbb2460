"""Words that several sections share."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["capital", "counted", "labels", "listed"]

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
    """Labels in a row, those that begin alike told together: `sling of a, b; rope main`."""
    heads: dict[str, list[str]] = {}
    for label in dict.fromkeys(found):
        head, of, tail = label.rpartition(" of ")
        heads.setdefault(f"{head}{of}", []).append(tail)
    return "; ".join(f"{head}{', '.join(tails)}" for head, tails in heads.items())
