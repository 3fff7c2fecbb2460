"""Reading CSV: cells parted by commas, semicolons or tabs."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from io import StringIO

from ropewright.web.tables.decoding import text_of
from ropewright.web.tables.neutral import restored_csv
from ropewright.web.tables.table import MOST_ROWS, Row, Table, TableError

__all__ = ["read_csv", "rows_of_records"]

_SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}


def read_csv(content: bytes) -> Table:
    """Read the bytes of a CSV file. Errors: TableError."""
    text, encoding, told = text_of(content)
    separator, text, skipped = _separator(text)
    header, rows = rows_of_records(_records(text, separator, skipped))
    return Table(
        header=header,
        rows=tuple(rows),
        read_as=f"CSV, {encoding}, parted by {_SEPARATORS[separator]}",
        told=(told,) if told else (),
        comma_decimals_possible=separator != ",",
    )


def _separator(text: str) -> tuple[str, str, int]:
    """What parts the cells, the text to read and how many lines were passed over.

    A first line `sep=;`, as spreadsheets write it, decides; otherwise the sign that is most often in the
    first line, outside of quotes.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    first, _, rest = text.partition("\n")
    if first.lower().startswith("sep=") and first[4:] in _SEPARATORS:
        return first[4:], rest, 1
    start = next((line for line in text.split("\n") if line.strip()), "")
    bare = "".join(start.split('"')[::2])
    return max(_SEPARATORS, key=bare.count), text, 0


def _records(text: str, separator: str, skipped: int) -> list[tuple[int, list[str]]]:
    """The records with their numbers. Errors: TableError where a quote is left open."""
    reader = csv.reader(StringIO(text, newline=""), delimiter=separator, strict=True)
    records: list[tuple[int, list[str]]] = []
    number, started = skipped, 1
    try:
        for cells in reader:
            number += 1
            if any(cell.strip() for cell in cells):
                records.append((number, [restored_csv(cell) for cell in cells]))
            if len(records) > MOST_ROWS + 1:
                break
            started = reader.line_num + 1
    except csv.Error as error:
        raise TableError(
            f"Row {number + 1} is no CSV ({error}); it starts on line {started + skipped} of the file. Look "
            "for a quotation mark that is not closed there, or that stands alone in a cell: write it twice."
        ) from None
    return records


def rows_of_records(records: Sequence[tuple[int, list[str]]]) -> tuple[tuple[str, ...], list[Row]]:
    """Part the header from the rows; every row as long as the header. Errors: TableError without a header."""
    if not records:
        raise TableError("The file is empty. Its first row has to name the columns.")
    header = [cell.strip() for cell in records[0][1]]
    while header and not header[-1]:
        header.pop()
    if len(records) == 1:
        raise TableError(f"There is a header (row {records[0][0]}) and nothing below it.")
    return tuple(header), [_row(number, cells, len(header)) for number, cells in records[1:]]


def _row(number: int, cells: list[str], width: int) -> Row:
    texts = [cell.strip() for cell in cells]
    while len(texts) > width and not texts[-1]:
        texts.pop()
    faults: tuple[str, ...] = ()
    if len(texts) > width:
        faults = (
            f"{len(texts)} cells under {width} column names; put a text that holds the separator in quotes",
        )
    return Row(number, tuple(texts[:width]) + ("",) * (width - len(texts)), faults=faults)
