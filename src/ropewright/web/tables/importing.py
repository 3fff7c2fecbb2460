"""From the rows of a file to what each of them would do: new, changed, unchanged or wrong, and why."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from ropewright.quantity import show
from ropewright.web.tables.cells import Cell, CellError, Manner, read_cell
from ropewright.web.tables.columns import Column, Matching
from ropewright.web.tables.table import Row, Table

__all__ = [
    "Change",
    "Fate",
    "Fault",
    "Outcome",
    "ReadRow",
    "changes_of",
    "digest_of",
    "doubled",
    "joined",
    "read_rows",
    "same",
    "shown",
]

Fate = Literal["wrong", "changed", "new", "unchanged"]


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong with a cell, by its column's title, or with the row where there is none."""

    title: str
    text: str

    def __str__(self) -> str:
        return f"{self.title}: {self.text}" if self.title else self.text


@dataclass(frozen=True, slots=True)
class Change:
    """What would change in one column, as it is shown."""

    key: str
    title: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class ReadRow:
    """A row with its values by key: None for an empty cell, no key for a column that the file hasn't got."""

    number: int
    values: Mapping[str, Cell]
    faults: tuple[Fault, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a row would do. ``target``: what it changes, by its key; ``values``: what it would set."""

    number: int
    label: str
    fate: Fate
    faults: tuple[Fault, ...] = ()
    changes: tuple[Change, ...] = ()
    notes: tuple[str, ...] = ()
    target: int | None = None
    values: Mapping[str, Any] = field(default_factory=dict)


def read_rows(table: Table, matching: Matching, known: Sequence[Column], manner: Manner) -> list[ReadRow]:
    """Read every row's cells; everything wrong is kept with its column."""
    columns = {column.key: column for column in known}
    places = [(columns[key], match.index, match.unit) for key, match in matching.places().items()]
    return [_read_row(row, places, manner) for row in table.rows]


def _read_row(row: Row, places: Iterable[tuple[Column, int, str]], manner: Manner) -> ReadRow:
    values: dict[str, Cell] = {}
    faults = [Fault("", fault) for fault in row.faults]
    notes = []
    for column, index, unit in places:
        text = row.cells[index]
        if index in row.left_out:
            notes.append(f"{column.title}: the cell {row.left_out[index]}; read as empty")
        if not text:
            values[column.key] = None
            if column.needed:
                faults.append(Fault(column.title, "found nothing; every row needs it"))
            continue
        try:
            values[column.key] = read_cell(text, column, unit, manner)
        except CellError as error:
            values[column.key] = text if column.needed else None
            faults.append(Fault(column.title, str(error)))
    return ReadRow(row.number, values, tuple(faults), tuple(notes))


def doubled(rows: Iterable[ReadRow], key: Callable[[ReadRow], Hashable | None]) -> dict[int, list[int]]:
    """The rows that stand for the same thing as others: by row number, the numbers of all of them."""
    seen: dict[Hashable, list[int]] = {}
    for row in rows:
        found = key(row)
        if found is not None:
            seen.setdefault(found, []).append(row.number)
    return {number: numbers for numbers in seen.values() if len(numbers) > 1 for number in numbers}


def joined(numbers: Sequence[int]) -> str:
    """Row numbers in words; a long list is cut."""
    words = [str(number) for number in numbers[:6]] + ["more"] * (len(numbers) > 6)
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]


def same(one: Cell, other: Cell) -> bool:
    """Whether two values are one: figures may differ in their last digits, empty texts are nothing."""
    if isinstance(one, float | int) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=1e-9)
    return (one if one != "" else None) == (other if other != "" else None)


def shown(value: Cell, column: Column) -> str:
    """A value as the preview shows it."""
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if column.kind in ("length", "mass", "force") and isinstance(value, float | int):
        return show(float(value), column.kind)
    if column.kind == "choice":
        return next((word for word, meant in column.choices.items() if meant == value), str(value))
    text = str(value)
    return f"{text[:80]}…" if len(text) > 80 else text


def changes_of(
    before: Mapping[str, Cell], after: Mapping[str, Cell], columns: Iterable[Column]
) -> tuple[Change, ...]:
    """What differs between two sets of values; only columns that ``after`` has are looked at."""
    return tuple(
        Change(
            column.key, column.title, shown(before.get(column.key), column), shown(after[column.key], column)
        )
        for column in columns
        if column.key in after and not same(before.get(column.key), after[column.key])
    )


def digest_of(*parts: Any) -> str:
    """A digest of everything that a preview follows from; the same only while nothing of it changed."""
    text = json.dumps(parts, sort_keys=True, default=str, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
