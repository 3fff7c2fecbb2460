"""Who of the roster a row of a table is: by name and own number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ropewright.web.tables.importing import Fault, ReadRow, doubled, joined

__all__ = ["Match", "fold", "match_rows"]

Entry = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Match:
    """Who a row is: an entry of the roster, or None for somebody new; or why that can't be told."""

    entry: Entry | None
    faults: tuple[Fault, ...] = ()
    notes: tuple[str, ...] = ()


def fold(text: object) -> str:
    """A name or number without capitals and spare spaces."""
    return " ".join(str(text or "").split()).casefold()


def match_rows(rows: Sequence[ReadRow], people: Sequence[Entry]) -> dict[int, Match]:
    """Who each row is, by its number; two rows that are the same person are both wrong."""
    found = {row.number: _match(row, people) for row in rows}
    same = doubled(rows, lambda row: _who(row, found[row.number].entry))
    numbers = doubled(rows, lambda row: fold(row.values.get("mark")) or None)
    for row in rows:
        faults = list(found[row.number].faults)
        others = [number for number in same.get(row.number, []) if number != row.number]
        alike = [n for n in numbers.get(row.number, []) if n != row.number and n not in others]
        if others:
            faults.append(Fault("name", f"the same person stands in row {joined(others)}; one row a person"))
        if alike:
            faults.append(Fault("own number", f"'{row.values['mark']}' also stands in row {joined(alike)}"))
        found[row.number] = Match(found[row.number].entry, tuple(faults), found[row.number].notes)
    return found


def _who(row: ReadRow, entry: Entry | None) -> tuple[object, ...] | None:
    """What makes two rows the same person."""
    if entry:
        return (entry["pk"],)
    name = fold(row.values.get("name"))
    return (name, fold(row.values.get("mark"))) if name else None


def _match(row: ReadRow, people: Sequence[Entry]) -> Match:
    name, mark = fold(row.values.get("name")), fold(row.values.get("mark"))
    namesakes = [entry for entry in people if name and fold(entry["name"]) == name]
    if not mark:
        return _by_name(namesakes)
    exact = [entry for entry in namesakes if fold(entry["mark"]) == mark]
    if len(exact) == 1:
        return Match(exact[0])
    if exact:
        return Match(None, (Fault("name", "stands on the roster twice with this number; mend it there"),))
    holder = next((entry for entry in people if fold(entry["mark"]) == mark), None)
    if holder:
        return Match(None, (Fault("own number", f"is {holder['name']}'s on the roster; each has their own"),))
    without = [entry for entry in namesakes if not entry["mark"]]
    if len(without) == 1:
        return Match(without[0])
    if without:
        text = "stands on the roster more than once without a number; give them numbers there first"
        return Match(None, (Fault("name", text),))
    notes = [f"a namesake is on the roster with the number {entry['mark']}" for entry in namesakes]
    return Match(None, (), tuple(notes))


def _by_name(namesakes: Sequence[Entry]) -> Match:
    if len(namesakes) < 2:
        return Match(namesakes[0] if namesakes else None)
    numbers = ", ".join(entry["mark"] or "none" for entry in namesakes)
    text = f"{len(namesakes)} people on the roster have this name (numbers: {numbers}); give the number"
    return Match(None, (Fault("own number", text),))
