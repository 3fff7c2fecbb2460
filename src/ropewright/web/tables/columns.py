"""Which column of a file is which: matched by name in forgiving ways, or as somebody chose."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from ropewright.quantity.units import ALIASES, UNITS
from ropewright.web.tables.table import Table, column_letter

__all__ = ["NOT_TAKEN", "WHAT_IS_WRONG", "Column", "ColumnKind", "Match", "Matching", "fold", "match_columns"]

ColumnKind = Literal["text", "length", "mass", "force", "date", "yes-no", "choice"]
NOT_TAKEN = "-"
"""What is chosen for a column of the file that is not wanted."""

WHAT_IS_WRONG = "what is wrong"
"""The column of faults in a file of wrong rows; nothing when the mended file comes back."""

_UNIT = re.compile(r"[\s,(\[]+([A-Za-z]+)[)\]]?\s*$")


@dataclass(frozen=True, slots=True)
class Column:
    """A column that a table may have: ``others`` are names that mean the same.

    ``choices`` maps each word of a choice to its value. ``units``: those of a bare figure, metric and US,
    where they are not the usual ones. ``shown_only``: written into files, and compared with the store where
    it is read back, but never taken from one; the text says where it is changed.
    """

    key: str
    title: str
    kind: ColumnKind = "text"
    others: tuple[str, ...] = ()
    needed: bool = False
    choices: Mapping[str, str] = field(default_factory=dict)
    shown_only: str = ""
    units: tuple[str, str] | None = None

    @property
    def holds(self) -> str:
        """What its cells hold, in words."""
        words = {
            "length": "a length, 60 m or 200 ft",
            "mass": "a mass, 95 kg or 209 lb",
            "force": "a force, 30 kN or 6740 lbf",
            "date": "a day, 2024-03-15",
            "yes-no": "yes or no",
        }
        if self.shown_only:
            return f"compared only: {self.shown_only}"
        if self.units == ("mm", "in"):
            return "a length, 12.5 mm or 0.5 in"
        if self.kind == "choice":
            few = list(self.choices)[:3]
            return f"one of {'; '.join(few)}{' …' if len(self.choices) > 3 else ''}" if few else "none yet"
        return words.get(self.kind, "text")


@dataclass(frozen=True, slots=True)
class Match:
    """One column of a file: what it is taken as (None: not taken), the unit in its name, and a sample.

    ``doubled``: another column is the same one, so that somebody has to choose.
    """

    index: int
    name: str
    key: str | None
    unit: str
    sample: str
    doubled: bool = False

    @property
    def letter(self) -> str:
        """The letter that a spreadsheet gives it."""
        return column_letter(self.index)


@dataclass(frozen=True, slots=True)
class Matching:
    """Every column of a file, and what is wrong with them; with ``faults`` no row can be looked at."""

    columns: tuple[Match, ...]
    faults: tuple[str, ...]
    told: tuple[str, ...]

    def places(self) -> dict[str, Match]:
        """The columns that are taken, by key."""
        return {match.key: match for match in self.columns if match.key}


def fold(name: str) -> str:
    """A name without what does not matter: case, spaces, signs and accents."""
    plain = unicodedata.normalize("NFKD", name.replace("'", "").replace("’", ""))
    plain = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    return " ".join(re.sub(r"[^\w]+|_", " ", plain).split())


def match_columns(table: Table, known: Sequence[Column], chosen: Mapping[int, str]) -> Matching:
    """Match a table's columns with the known ones.

    chosen: by index of the file's column the key that somebody chose for it, or `NOT_TAKEN`; what is chosen
    stands before what the names say.
    """
    chosen = {
        **{
            index: NOT_TAKEN
            for index, header in enumerate(table.header)
            if fold(header) == fold(WHAT_IS_WRONG)
        },
        **chosen,
    }
    names = {fold(name): column for column in known for name in (column.title, column.key, *column.others)}
    by_key = {column.key: column for column in known}
    guessed: dict[int, tuple[str | None, str]] = {}
    for index, header in enumerate(table.header):
        column, unit = _named(header, names)
        if index in chosen:
            column = by_key.get(chosen[index])
        guessed[index] = (column.key if column else None, unit)
    faults = _twice(table.header, guessed, by_key)
    doubled = {key for key, indices in _indices(guessed).items() if len(indices) > 1}
    matches = tuple(
        Match(index, header, None if key in doubled else key, unit, _sample(table, index), key in doubled)
        for index, header in enumerate(table.header)
        for key, unit in [guessed[index]]
    )
    found = {match.key for match in matches}
    faults += [
        f"No column is taken as '{column.title}', which every row needs. Choose below which one it is, "
        "or name it so in the file's first row."
        for column in known
        if column.needed and column.key not in found and column.key not in doubled
    ]
    return Matching(matches, tuple(faults), tuple(_told(matches, doubled, guessed, chosen, by_key)))


def _named(header: str, names: Mapping[str, Column]) -> tuple[Column | None, str]:
    """The column that a header names, and the unit that stands in it: `length (ft)`, `mass, kg`."""
    found = _UNIT.search(header)
    unit = ""
    if found:
        unit = found[1] if found[1] in UNITS else ALIASES.get(found[1].lower(), "")
    if unit and found and (column := names.get(fold(header[: found.start()]))):
        return column, unit
    return names.get(fold(header)), unit


def _indices(guessed: Mapping[int, tuple[str | None, str]]) -> dict[str, list[int]]:
    places: dict[str, list[int]] = {}
    for index, (key, _) in guessed.items():
        if key:
            places.setdefault(key, []).append(index)
    return places


def _twice(
    header: Sequence[str], guessed: Mapping[int, tuple[str | None, str]], by_key: Mapping[str, Column]
) -> list[str]:
    """What is wrong where two columns of the file are the same one."""
    return [
        f"{' and '.join(f'column {column_letter(i)} ({header[i]!r})' for i in indices)} are both "
        f"'{by_key[key].title}'. Choose below which one is taken."
        for key, indices in _indices(guessed).items()
        if len(indices) > 1
    ]


def _sample(table: Table, index: int) -> str:
    text = next((row.cells[index] for row in table.rows if row.cells[index]), "")
    return f"{text[:40]}…" if len(text) > 40 else text


def _told(
    matches: Sequence[Match],
    doubled: set[str],
    guessed: Mapping[int, tuple[str | None, str]],
    chosen: Mapping[int, str],
    by_key: Mapping[str, Column],
) -> list[str]:
    told = []
    unknown = [
        match.name or f"(no name, column {match.letter})"
        for match in matches
        if match.key is None and match.index not in chosen and guessed[match.index][0] not in doubled
        if match.name or match.sample
    ]
    if unknown:
        told.append(f"Not taken, because nothing here has that name: {', '.join(unknown)}.")
    for match in matches:
        column = by_key.get(match.key or "")
        if column and column.shown_only:
            told.append(f"'{column.title}' is only compared, never taken: {column.shown_only}.")
    return told
