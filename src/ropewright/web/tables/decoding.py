"""From bytes to text: which encoding a file of text is in, never silently wrong."""

from __future__ import annotations

import codecs

from ropewright.web.tables.table import TableError

__all__ = ["text_of"]

_MARKS = (
    (codecs.BOM_UTF32_LE, ""),
    (codecs.BOM_UTF32_BE, ""),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_NAMES = {"utf-8": "UTF-8", "utf-16-le": "UTF-16", "utf-16-be": "UTF-16", "cp1252": "Windows-1252"}
_MEND = "Save the file as CSV in UTF-8, or as XLSX."


def text_of(content: bytes) -> tuple[str, str, str]:
    """Return the text, the encoding's name, and what to tell about it. Errors: TableError.

    A byte order mark decides. Without one, zero bytes at every other place mean UTF-16; text that is no
    UTF-8 is taken for Windows-1252, and that is told.
    """
    for mark, encoding in _MARKS:
        if content.startswith(mark):
            if not encoding:
                raise TableError(f"The file is in UTF-32, which is not read here. {_MEND}")
            return _decoded(content[len(mark) :], encoding), _NAMES[encoding], ""
    encoding = _without_mark(content)
    told = ""
    if encoding == "cp1252":
        told = (
            "The file is no UTF-8; it was read as Windows-1252. Look whether letters with accents are right."
        )
    return _decoded(content, encoding), _NAMES[encoding], told


def _without_mark(content: bytes) -> str:
    start = content[:4000]
    for encoding, zeros, letters in (
        ("utf-16-le", start[1::2], start[::2]),
        ("utf-16-be", start[::2], start[1::2]),
    ):
        if zeros and zeros.count(0) > 0.6 * len(zeros) and letters.count(0) == 0:
            return encoding
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def _decoded(content: bytes, encoding: str) -> str:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise TableError(
            f"The file can't be read as {_NAMES[encoding]}: byte {content[error.start]:#04x} on line {line} "
            f"means nothing there. {_MEND}"
        ) from None
    found = next((c for c in text if ord(c) < 32 and c not in "\t\r\n"), None)
    if found is not None:
        raise TableError(
            f"The file is no table of text: it holds the control character U+{ord(found):04X}. {_MEND}"
        )
    return text
