"""Text that a spreadsheet must not take for a formula, and the way back.

A cell is dangerous when, after spaces and quotation marks, it starts with one of the signs below. It gets an
apostrophe before it, which spreadsheets show as text. A program that parts cells by semicolons or tabs may
start a new cell in the middle of a text of a CSV file, so there the same is done after these, also before a
quotation mark that ends the text: it would open a cell that swallows the rows below. Both ways back are
exact: a text that looked like a guarded one before is guarded once more.
"""

from __future__ import annotations

import re

__all__ = ["is_dangerous", "neutral", "neutral_csv", "restored", "restored_csv"]

_LEAD = r"['\"\s\ufeff]*"
_SIGN = r"[=+\-@\uff1d\uff0b\uff0d\uff20\N{MINUS SIGN}]"
_START = re.compile(f"{_LEAD}{_SIGN}|['\"]*[\t\r]")
_GUARDED = re.compile(f"'(?={_LEAD}{_SIGN}|['\"]*[\t\r])")
_OPENS = r"['\s]*\"['\"\s]*\Z"
_BEGUN = f"(?<=[;\t\r\n|])%s(?={_LEAD}{_SIGN}|{_OPENS})"
_INSIDE = re.compile(_BEGUN % "")
_INSIDE_GUARDED = re.compile(_BEGUN % "'")


def is_dangerous(text: str) -> bool:
    """Whether a spreadsheet may take a cell with this text for a formula."""
    return _START.match(text) is not None and not text.startswith("'")


def neutral(text: str) -> str:
    """A text as it goes into a cell."""
    return f"'{text}" if _START.match(text) else text


def restored(text: str) -> str:
    """A text as it was before `neutral`."""
    return text[1:] if _GUARDED.match(text) else text


def neutral_csv(text: str) -> str:
    """A text as it goes into a cell of a CSV file."""
    return neutral(_INSIDE.sub("'", text))


def restored_csv(text: str) -> str:
    """A text as it was before `neutral_csv`."""
    return _INSIDE_GUARDED.sub("", restored(text))
