"""Writing a table as CSV or XLSX, so that it reads back the same and no cell can start a formula."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from datetime import date
from io import BytesIO, StringIO
from typing import Any

from ropewright.quantity import System
from ropewright.quantity.units import UNITS
from ropewright.web.tables.cells import Cell, bare_unit
from ropewright.web.tables.columns import Column
from ropewright.web.tables.neutral import neutral, neutral_csv

__all__ = ["CSV_TYPE", "XLSX_TYPE", "header_of", "row_of", "write_csv", "write_xlsx"]

CSV_TYPE = "text/csv; charset=utf-8"
XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

_NOT_IN_FILES = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


def header_of(columns: Iterable[Column], system: System) -> list[str]:
    """The names of the columns, with the units that their figures are in."""
    return [
        f"{column.title} ({bare_unit(column, system)})"
        if column.kind in ("length", "mass", "force")
        else column.title
        for column in columns
    ]


def row_of(values: Sequence[Cell], columns: Sequence[Column], system: System) -> list[str | float | None]:
    """A row's values as they are written: figures in the header's units, dates as 2024-03-15."""
    return [_written(value, column, system) for value, column in zip(values, columns, strict=True)]


def _written(value: Cell, column: Column, system: System) -> str | float | None:
    if value is None:
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if column.kind in ("length", "mass", "force") and isinstance(value, int | float):
        return float(f"{value / UNITS[bare_unit(column, system)].si:.12g}")
    if column.kind == "choice":
        return next((word for word, meant in column.choices.items() if meant == value), str(value))
    return str(value)


def write_csv(header: Sequence[str], rows: Iterable[Sequence[str | float | None]]) -> bytes:
    """CSV in UTF-8 with a mark that spreadsheets know it by; every text in quotes."""
    stream = StringIO(newline="")
    writer = csv.writer(stream, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    for row in (header, *rows):
        writer.writerow(["" if cell is None else _csv_cell(cell) for cell in row])
    return stream.getvalue().encode("utf-8-sig")


def _csv_cell(cell: str | float) -> str | float:
    if isinstance(cell, str):
        return neutral_csv(_clean(cell))
    return int(cell) if cell == int(cell) and abs(cell) < 1e15 else cell


def write_xlsx(header: Sequence[str], rows: Iterable[Sequence[str | float | None]], title: str) -> bytes:
    """A workbook of one sheet with its header held in view; texts are texts, figures are figures."""
    from openpyxl import Workbook  # slow to import, wanted only here
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    sheet.freeze_panes = "A2"

    def text(value: str) -> Any:
        cell = WriteOnlyCell(sheet, neutral(_clean(value)))
        cell.data_type = "s"
        return cell

    for row in (header, *rows):
        sheet.append([text(cell) if isinstance(cell, str) else cell for cell in row])
    stream = BytesIO()
    book.save(stream)
    return stream.getvalue()


def _clean(text: str) -> str:
    """A text with one kind of line end and without what neither format can hold."""
    return _NOT_IN_FILES.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
