"""Reading XLSX: the first sheet that has anything on it; values only, never a formula."""

from __future__ import annotations

import re
import warnings
import zipfile
from datetime import date, datetime, time, timedelta
from io import BytesIO
from typing import Any
from xml.etree.ElementTree import ParseError

from defusedxml import DefusedXmlException

from ropewright.quantity.units import ALIASES, UNITS
from ropewright.web.tables.archive import check_archive
from ropewright.web.tables.delimited import rows_of_records
from ropewright.web.tables.neutral import restored
from ropewright.web.tables.table import MOST_COLUMNS, MOST_ROWS, Row, Table, TableError

__all__ = ["read_xlsx"]

_MOST_LINES = 50_000
"""Lines of a sheet that are looked at, empty ones included."""
_UNIT_OF_FORMAT = re.compile(r'"\s*([A-Za-z]+)\s*"')
_FAULTS = (
    zipfile.BadZipFile, KeyError, ValueError, TypeError, IndexError, AttributeError, EOFError, OSError,
    OverflowError, ParseError,
)  # fmt: skip


def read_xlsx(content: bytes) -> Table:
    """Read the bytes of a workbook. Errors: TableError."""
    check_archive(content)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about styles and extensions that a table does not need
            return _read(content)
    except _FAULTS as error:  # the guard's own exception is one of them, or the cause of one
        if isinstance(error, DefusedXmlException) or isinstance(error.__cause__, DefusedXmlException):
            raise TableError(
                "The workbook's XML declares entities, which no spreadsheet writes. It is not opened."
            ) from None
        raise TableError(
            f"The workbook can't be followed ({type(error).__name__}). "
            "Open it in a spreadsheet and save it again."
        ) from None


def _read(content: bytes) -> Table:
    from openpyxl import load_workbook  # slow to import, wanted only here
    from openpyxl.xml import DEFUSEDXML

    if not DEFUSEDXML:
        raise TableError(
            "XLSX can't be read on this server: its guard against hostile XML is missing. Send CSV."
        )
    book = load_workbook(BytesIO(content), read_only=True, keep_links=False, data_only=False)
    try:
        sheets = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"] or book.worksheets
        for sheet in sheets:
            records, left_out = _records(sheet)
            if records:
                return _table(records, left_out, sheet.title, len(book.sheetnames) - 1)
    finally:
        book.close()
    raise TableError("The workbook has no cell with anything in it. Its first row has to name the columns.")


def _records(sheet: Any) -> tuple[list[tuple[int, list[str]]], dict[int, dict[int, str]]]:
    """The rows that hold anything, and by row and column why a cell was read as nothing."""
    sheet.reset_dimensions()  # what a sheet says of its own size may be wrong
    records: list[tuple[int, list[str]]] = []
    left_out: dict[int, dict[int, str]] = {}
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1, max_row=_MOST_LINES + 1), 1):
        if number > _MOST_LINES:
            raise TableError(
                f"The sheet goes on below row {_MOST_LINES}. Delete what is below the table, also empty rows."
            )
        texts = [_text(cell) for cell in cells]
        unread = {index: why for index, (_, why) in enumerate(texts) if why}
        if unread or any(text for text, _ in texts):
            records.append((number, [text for text, _ in texts]))
            left_out[number] = unread
        if len(records) > MOST_ROWS + 1:
            break
    return records, left_out


def _table(
    records: list[tuple[int, list[str]]], left_out: dict[int, dict[int, str]], title: str, others: int
) -> Table:
    header, rows = rows_of_records(records)
    told = []
    if others:
        told.append(
            f"Sheet '{title}' was read; {others} other {'sheet was' if others == 1 else 'sheets were'} not."
        )
    count = sum(len(left_out[row.number]) for row in rows)
    if count:
        told.append(
            f"Cells that hold a formula or an error, and no plain value: {count}. "
            "They are read as empty. Where values are wanted, paste them as values and send the file again."
        )
    whole = tuple(Row(row.number, row.cells, left_out[row.number], row.faults) for row in rows)
    return Table(header, whole, f"XLSX, sheet '{title}'", tuple(told))


def _text(cell: Any) -> tuple[str, str]:
    """A cell as text, and why it was read as nothing."""
    value = cell.value
    if value is None:
        return "", ""
    if cell.data_type == "f":
        return "", "holds a formula, which is not read"
    if cell.data_type == "e":
        return "", f"holds the spreadsheet's error {str(value)[:20]}"
    if isinstance(value, str):
        return restored(value.replace("\r\n", "\n").replace("\r", "\n").replace("_x000D_", "")).strip(), ""
    return _typed(value, str(cell.number_format or "")), ""


def _typed(value: object, number_format: str) -> str:
    """A value that is no text, as it would be written by hand."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, int | float):
        text = f"{value:.15g}"
        shown = _UNIT_OF_FORMAT.search(number_format)
        unit = shown[1] if shown and (shown[1] in UNITS or shown[1].lower() in ALIASES) else ""
        return f"{text} {unit}".strip()
    return str(value) if isinstance(value, timedelta) else ""
