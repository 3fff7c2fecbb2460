"""Whether an XLSX file, a ZIP archive, may be opened at all: looked at from its own list of members."""

from __future__ import annotations

import zipfile
from io import BytesIO

from ropewright.web.tables.table import TableError

__all__ = ["check_archive"]

MOST_MEMBERS = 300
MOST_UNPACKED = 60_000_000
MOST_RATIO = 100
_FREE_OF_RATIO = 1_000_000
"""Below this many bytes unpacked, how well it was packed does not matter."""


def check_archive(content: bytes) -> None:
    """Refuse what is no workbook or would unpack to far more than it should. Errors: TableError.

    The sizes are the archive's own; Python's reader gives no more of a member than the size stated for it.
    """
    try:
        with zipfile.ZipFile(BytesIO(content)) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError, EOFError) as error:
        raise TableError(f"The workbook is damaged: {error}. Save it again as XLSX.") from None
    if len(members) > MOST_MEMBERS:
        raise TableError(
            f"The archive has {len(members)} members; a workbook has {MOST_MEMBERS} at most. "
            "It is not opened."
        )
    _check_sizes(members)
    names = {member.filename for member in members}
    if any(member.flag_bits & 0x1 for member in members):
        raise TableError("The workbook is locked with a password. Save it without one.")
    if not {"[Content_Types].xml", "xl/workbook.xml"} <= names:
        raise TableError("The file is a ZIP archive, but no XLSX workbook. Send a table as CSV or XLSX.")
    if any(name.lower().endswith("vbaproject.bin") for name in names):
        raise TableError("The workbook holds macros. Save it as XLSX, without them.")


def _check_sizes(members: list[zipfile.ZipInfo]) -> None:
    unpacked = sum(member.file_size for member in members)
    packed = max(1, sum(member.compress_size for member in members))
    if unpacked > MOST_UNPACKED:
        raise TableError(
            f"The workbook would unpack to {unpacked / 1e6:,.0f} MB; {MOST_UNPACKED / 1e6:.0f} MB are the "
            "most. It is not opened. Copy the values alone into a new workbook."
        )
    if unpacked > _FREE_OF_RATIO and unpacked / packed > MOST_RATIO:
        raise TableError(
            f"The workbook would unpack to {unpacked / packed:,.0f} times its size; {MOST_RATIO} times is "
            "the most. It is not opened. Copy the values alone into a new workbook."
        )
