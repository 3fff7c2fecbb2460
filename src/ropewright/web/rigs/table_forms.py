"""The page of tables: ropes with their contacts, small tables of parts, and what is stated beside them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from ropewright.rig.editing.heading import HEADING
from ropewright.rig.editing.rows import ContactRow, PartRow, RopeRows, Tables
from ropewright.rig.editing.words import FIELDS
from ropewright.web.rigs.table_cells import HEADINGS, Cell, Statements, cells_of, contact_cells
from ropewright.web.rigs.table_figures import figures
from ropewright.web.rigs.table_motions import motions
from ropewright.web.rigs.table_rules import rules

__all__ = ["Laid", "Row", "Run", "Section", "laid_out"]


@dataclass(frozen=True, slots=True)
class Row:
    """A part as it stands, in words, and its fields."""

    name: str
    line: int
    words: str
    cells: tuple[Cell, ...]
    readable: bool


@dataclass(frozen=True, slots=True)
class Section:
    """A small table: its rows, and the fields of one more."""

    key: str
    heading: str
    noun: str
    rows: tuple[Row, ...]
    blank: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Met:
    """A contact of a run and its fields; none where it can only be changed in the text."""

    index: int
    line: int
    words: str
    cells: tuple[Cell, ...]
    first: bool
    last: bool


@dataclass(frozen=True, slots=True)
class Run:
    """A rope: itself, what it meets, and where one more contact goes."""

    rope: Row
    met: tuple[Met, ...]
    blank: tuple[Cell, ...]
    next: int

    @property
    def count(self) -> int:
        """How many contacts there are."""
        return len(self.met)


@dataclass(frozen=True, slots=True)
class Laid:
    """The whole page of tables."""

    title: str
    heading: tuple[Cell, ...]
    runs: tuple[Run, ...]
    new_rope: tuple[Cell, ...]
    sections: tuple[Section, ...]
    stated: tuple[Statements, ...] = ()
    names: tuple[str, ...] = field(default=())


def laid_out(tables: Tables) -> Laid:
    """Lay the tables out with everything that may be chosen in them."""
    runs = tuple(_run(tables, rope) for rope in tables.ropes)
    sections = tuple(
        Section(
            key,
            *HEADINGS[key],
            tuple(_row(tables, key, row) for row in rows),
            tuple(cells_of(tables, FIELDS[key], {})),
        )
        for key, rows in _in_order(tables.parts)
    )
    first = contact_cells(tables, {"verb": "tie"})
    new_rope = (
        *cells_of(tables, FIELDS["ropes"], {}),
        *(c for c in first if c.name in ("c-target", "c-knot")),
    )
    clips = tuple(name for name, section in tables.names.items() if section not in ("ropes", "crews"))
    stated = (motions(tables), figures(tables), rules(tables))
    heading = tuple(cells_of(tables, HEADING, tables.heading))
    return Laid(tables.heading["rig"], heading, runs, new_rope, sections, stated, clips)


def _in_order(parts: Mapping[str, tuple[PartRow, ...]]) -> Iterator[tuple[str, tuple[PartRow, ...]]]:
    for key in ("gear", "loads", "points", "crews"):
        yield key, parts.get(key, ())


def _row(tables: Tables, section: str, row: PartRow) -> Row:
    words = "; ".join(
        f"{label} {row.values[each.key]}".strip()
        for each in FIELDS[section]
        if row.values.get(each.key)
        for label in [_SHORT.get((section, each.key), _SHORT.get(("", each.key), each.key))]
    )
    return Row(row.name, row.line, words, tuple(cells_of(tables, FIELDS[section], row.values)), row.readable)


# How a field is led in where a row is written as words; the first says what the part is, without more.
_SHORT = {
    ("", "is"): "",
    ("", "kind"): "",
    ("gear", "at"): "at",
    ("", "about"): "",
    ("", "state"): "",
    ("", "surface"): "of",
    ("", "protection"): "under a",
    ("", "people"): "people",
}


def _run(tables: Tables, rope: RopeRows) -> Run:
    count = len(rope.contacts)
    met = tuple(
        Met(
            each.index,
            each.line,
            each.words,
            contact_cells(tables, each.values) if each.values else (),
            first=each.index == 0,
            last=each.index == count - 1,
        )
        for each in rope.contacts
    )
    blank = contact_cells(tables, {"verb": "through"})
    return Run(_row(tables, "ropes", rope.part), met, blank, _next(rope.contacts))


def _next(contacts: tuple[ContactRow, ...]) -> int:
    """Where one more contact goes: before a hand or a tail that ends the run."""
    ended = bool(contacts) and contacts[-1].words.split()[0] in ("hand", "tail")
    return len(contacts) - (1 if ended else 0)
