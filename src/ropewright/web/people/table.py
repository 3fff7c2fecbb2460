"""The roster as a table: its columns, by who reads it, and people as they are written into files."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ropewright.quantity import System
from ropewright.web.people.models import Person
from ropewright.web.people.privacy import PRIVATE
from ropewright.web.tables.cells import Cell
from ropewright.web.tables.columns import Column
from ropewright.web.tables.writing import row_of

__all__ = ["columns", "rows_of", "values_of"]

_COLUMNS = (
    Column("name", "name", others=("person", "full name", "member"), needed=True),
    Column("mark", "own number", others=("number", "no", "id", "badge", "member number")),
    Column("duty", "duty", others=("role", "position")),
    Column("agency", "agency", others=("team", "department", "from")),
    Column("mass", "mass with gear", "mass", ("mass", "weight")),
    Column("weighed", "weighed", "date", ("date weighed", "weighed on")),
    Column("reach", "rope for each pull", "length", ("reach", "stroke")),
    Column("pull", "measured pull", "force", ("pull",)),
    Column("pull_measured", "pull measured", "date", ("pull measured on",)),
    Column("limits", "limits", others=("limitations",)),
    Column("on_rope", "goes on rope", "yes-no", ("on rope",)),
    Column("hauls", "hauls", "yes-no", ("haul",)),
    Column("active", "active", "yes-no"),
    Column("note", "note", others=("notes", "remarks", "comments")),
)


def columns(*, private: bool) -> tuple[Column, ...]:
    """Every column; ``private``: also those that only few may read."""
    return tuple(column for column in _COLUMNS if private or column.key not in PRIVATE)


def values_of(person: Person) -> dict[str, Cell]:
    """A person's values by column."""
    return {column.key: getattr(person, column.key) for column in _COLUMNS}


def rows_of(
    people: Iterable[Person], written: Sequence[Column], system: System
) -> Iterator[list[str | float | None]]:
    """People as they are written into a file."""
    for person in people:
        yield row_of([getattr(person, column.key) for column in written], written, system)
