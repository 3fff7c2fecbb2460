"""A table as it was read: text in rows that carry the numbers a spreadsheet gives them, and the limits."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ropewright.errors import RopewrightError

__all__ = [
    "LONGEST_CELL",
    "MOST_BYTES",
    "MOST_COLUMNS",
    "MOST_ROWS",
    "Row",
    "Table",
    "TableError",
    "column_letter",
    "within_limits",
]

MOST_BYTES = 5_000_000
MOST_ROWS = 5_000
MOST_COLUMNS = 60
LONGEST_CELL = 5_000


class TableError(RopewrightError):
    """A file that can't be read as a table. The text says what was found and what would be right."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: ``number`` as a spreadsheet counts it, as many ``cells`` as the header has.

    ``left_out`` says, by column, why nothing was read from a cell; ``faults`` are wrong with the row itself.
    """

    number: int
    cells: tuple[str, ...]
    left_out: dict[int, str] = field(default_factory=dict)
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """A header and its rows; ``read_as`` names format and encoding, ``told`` what the reader should know.

    ``comma_decimals_possible``: the cells are not parted by commas, so that 1,8 may stand for a decimal.
    """

    header: tuple[str, ...]
    rows: tuple[Row, ...]
    read_as: str
    told: tuple[str, ...] = ()
    comma_decimals_possible: bool = False

    def to_json(self) -> dict[str, Any]:
        """Everything of it in JSON's own types."""
        return {
            "header": list(self.header),
            "rows": [
                [row.number, list(row.cells), [[k, why] for k, why in row.left_out.items()], list(row.faults)]
                for row in self.rows
            ],
            "read_as": self.read_as,
            "told": list(self.told),
            "comma_decimals_possible": self.comma_decimals_possible,
        }

    @classmethod
    def from_json(cls, kept: dict[str, Any]) -> Table:
        """The table of which `to_json` was kept."""
        rows = tuple(
            Row(number, tuple(cells), dict(left_out), tuple(faults))
            for number, cells, left_out, faults in kept["rows"]
        )
        return cls(
            tuple(kept["header"]), rows, kept["read_as"], tuple(kept["told"]), kept["comma_decimals_possible"]
        )


def column_letter(index: int) -> str:
    """The letter that a spreadsheet gives a column; the first has index 0."""
    text, index = "", index + 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def within_limits(header: tuple[str, ...], rows: list[Row]) -> None:
    """Refuse a table that is too wide or too long, or has a cell that is. Errors: TableError."""
    if len(header) > MOST_COLUMNS:
        raise TableError(
            f"The table has {len(header)} columns; {MOST_COLUMNS} are the most. "
            "Take out the columns that are not wanted, also empty ones that are only formatted."
        )
    if len(rows) > MOST_ROWS:
        raise TableError(
            f"The table has {len(rows)} rows or more; {MOST_ROWS} are the most. Send it in several files."
        )
    for row in rows:
        for index, cell in enumerate(row.cells):
            if len(cell) > LONGEST_CELL:
                raise TableError(
                    f"Cell {column_letter(index)}{row.number} holds {len(cell)} characters; "
                    f"{LONGEST_CELL} are the most. Shorten it."
                )
