"""Reading a file as a table, whichever of the two formats it is in: its content decides, not its name."""

from __future__ import annotations

from typing import IO, Protocol

from ropewright.web.tables.delimited import read_csv
from ropewright.web.tables.table import MOST_BYTES, Table, TableError, within_limits
from ropewright.web.tables.workbook import read_xlsx

__all__ = ["content_of", "read_table"]

_OTHERS = (
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet (XLS) or one locked with a password; save it as XLSX"),
    (b"%PDF", "a PDF; a table can't be read out of it"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"{\\rtf", "a text document (RTF)"),
    (b"\x1f\x8b", "packed with gzip; unpack it"),
)


class Sent(Protocol):
    """A file that somebody sent, as Django gives it."""

    name: str | None
    size: int | None

    @property
    def file(self) -> IO[bytes]:
        """Its bytes."""


def content_of(sent: Sent) -> bytes:
    """The bytes of a file that was sent, if there are not too many. Errors: TableError."""
    if (sent.size or 0) > MOST_BYTES:
        raise TableError(
            f"The file has {(sent.size or 0) / 1e6:.1f} MB; a table has {MOST_BYTES / 1e6:.0f} MB at most. "
            "Send the table alone, without pictures, or in several files."
        )
    sent.file.seek(0)
    return sent.file.read(MOST_BYTES + 1)


def read_table(content: bytes) -> Table:
    """Read CSV or XLSX within the limits. Errors: TableError."""
    if len(content) > MOST_BYTES:
        raise TableError(f"The file is larger than {MOST_BYTES / 1e6:.0f} MB. Send it in several files.")
    for start, what in _OTHERS:
        if content.startswith(start):
            raise TableError(f"The file is {what}. Send a table as CSV or XLSX.")
    table = read_xlsx(content) if content.startswith(b"PK\x03\x04") else read_csv(content)
    within_limits(table.header, list(table.rows))
    return table
