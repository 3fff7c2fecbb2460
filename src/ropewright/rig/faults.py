"""Faults in a rig file: where each stands, what was found, and the nearest known word."""

import difflib
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from ropewright.errors import RopewrightError

__all__ = ["Fault", "RigFileError", "article", "listed", "nearest", "shown", "suggestion"]

LONGEST_SHOWN = 60
MOST_TOLD = 100


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong in a rig file. Line and column count from 1; the path is written `points.beam.at`."""

    line: int
    column: int
    path: str
    text: str

    def __str__(self) -> str:
        """Write the fault as one line."""
        where = f"{self.path}: " if self.path else ""
        return f"line {self.line}, column {self.column}: {where}{self.text}"


class RigFileError(RopewrightError):
    """A rig file that can't be used.

    `faults` holds every fault found, in the order of the file; the text tells the first hundred and counts
    the others.
    """

    def __init__(self, faults: Iterable[Fault], source: str = "rig file") -> None:
        """Keep the faults in file order and make the text from them."""
        self.faults: tuple[Fault, ...] = tuple(sorted(set(faults)))
        self.source = source
        lines = [str(fault) for fault in self.faults[:MOST_TOLD]]
        if len(self.faults) > MOST_TOLD:
            lines.append(f"and {len(self.faults) - MOST_TOLD:,} more")
        super().__init__("\n".join(f"{source}: {line}" for line in lines))


def shown(value: object) -> str:
    """Quote what was found, short, on one line, with nothing in it that could disturb a terminal."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a mapping" if value else "an empty mapping"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    if isinstance(value, int) and abs(value) >= 10**300:
        return "a number of more than 300 digits"
    if isinstance(value, int | float):
        return f"the number {value:.12g}"
    return f"`{_plain(str(value))}`"


def _plain(text: str) -> str:
    short = text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"
    return "".join(
        c if c.isprintable() and unicodedata.category(c) != "Cf" else f"\\u{ord(c):04x}" for c in short
    )


def article(noun: str) -> str:
    """Write a noun behind `a` or `an`."""
    return f"{'an' if noun[:1] in 'aeiou' else 'a'} {noun}"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Give the known word that looks most like the one found, or None when none does."""
    found = difflib.get_close_matches(word[:LONGEST_SHOWN], list(known), n=1, cutoff=0.6)
    return found[0] if found else None


def listed(words: Iterable[str], joint: str = "and") -> str:
    """Write words as `a, b and c`."""
    items = list(words)
    return (
        items[0] if len(items) == 1 else f"{', '.join(items[:-1])} {joint} {items[-1]}" if items else "none"
    )


def suggestion(word: str, known: Iterable[str], otherwise: str) -> str:
    """Write the sentence that follows an unknown word: the nearest known one, else what would be right."""
    found = nearest(word, known)
    return f"Did you mean `{found}`?" if found else otherwise
