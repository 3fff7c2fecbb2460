"""Tables made for the tests."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from io import BytesIO
from typing import Any

from openpyxl import Workbook

__all__ = ["archive", "csv_bytes", "workbook"]


def csv_bytes(*lines: str) -> bytes:
    return "\n".join(lines).encode()


def workbook(*rows: Sequence[Any], formats: dict[str, str] | None = None, title: str = "Cache") -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(list(row))
    for place, number_format in (formats or {}).items():
        sheet[place].number_format = number_format
    stream = BytesIO()
    book.save(stream)
    return stream.getvalue()


def archive(members: dict[str, bytes], packing: int = zipfile.ZIP_DEFLATED) -> bytes:
    stream = BytesIO()
    with zipfile.ZipFile(stream, "w", packing) as packed:
        for name, content in members.items():
            packed.writestr(name, content)
    return stream.getvalue()
