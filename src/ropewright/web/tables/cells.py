"""One cell to one value: figures in SI, dates, yes or no, words of a choice."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from functools import lru_cache
from typing import Literal

from ropewright.quantity import QuantityError, Range, System, read_quantity, write_quantity
from ropewright.rig.yamltext import hidden_character
from ropewright.web.tables.columns import Column, fold

__all__ = [
    "BARE_UNITS",
    "Cell",
    "CellError",
    "Figure",
    "Manner",
    "as_typed",
    "bare_unit",
    "read_cell",
    "slashed",
]

DateOrder = Literal["", "day", "month"]
Comma = Literal["", "thousands", "decimals"]
Cell = str | float | date | bool | None

BARE_UNITS: Mapping[tuple[str, System], str] = {
    ("length", "metric"): "m", ("length", "us"): "ft",
    ("mass", "metric"): "kg", ("mass", "us"): "lb",
    ("force", "metric"): "kN", ("force", "us"): "lbf",
}  # fmt: skip
"""The unit of a bare number, by what it measures and the system, where its column has none of its own."""


def bare_unit(column: Column, system: System) -> str:
    """The unit of a bare number in a column."""
    if column.units is not None:
        return column.units[system == "us"]
    return BARE_UNITS[column.kind, system]


_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]00:00(?::00(?:\.0+)?)?)?\Z")
_SLASHED = re.compile(r"(\d{1,2})([/.\-])(\d{1,2})\2(\d{2}|\d{4})\Z")
_WORDED = re.compile(r"(?:(\d{1,2})\.?\s+([A-Za-z]{3,9})\.?,?|([A-Za-z]{3,9})\.?\s+(\d{1,2}),?)\s+(\d{4})\Z")
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
    "november", "december",
)  # fmt: skip
_YES = frozenset({"yes", "y", "true", "1", "x", "✓", "✔"})
_NO = frozenset({"no", "n", "false", "0"})
_FEW = 12
"""So many words of a choice are all named where none of them was found."""
_BARE = re.compile(r"[-+\N{MINUS SIGN}]?[0-9.,]+(?:[eE][-+]?[0-9]+)?\Z")
_DOUBTFUL_COMMA = re.compile(r"[0-9]{1,3}(,[0-9]{3})+(?![0-9,])")


class Figure(float):
    """A figure in SI that remembers how it was written, for what is told of it."""

    text: str

    def __new__(cls, value: float, text: str) -> Figure:
        """Keep both."""
        made = super().__new__(cls, value)
        made.text = text
        return made


class CellError(ValueError):
    """A cell that can't be read; the text says what was found and what would be right."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How a file is to be read where its cells alone don't say: chosen by whoever sends it.

    ``system`` gives bare numbers their unit. ``dates`` and ``comma`` are empty until somebody chose.
    ``clears``: an empty cell empties what the store holds, instead of leaving it alone.
    """

    system: System = "metric"
    dates: DateOrder = ""
    comma: Comma = "thousands"
    clears: bool = False


def slashed(text: str) -> bool:
    """Whether a text is a date of which day and month may be the wrong way round."""
    return _SLASHED.match(text) is not None


def read_cell(text: str, column: Column, unit: str, manner: Manner) -> Cell:
    """The value of a cell that is not empty. Errors: CellError.

    unit: the unit in the column's name, which a bare number takes; empty, it takes the chosen system's.
    """
    hidden = hidden_character(text)
    if hidden:
        raise CellError(f"found the hidden character {hidden}; take it out")
    if column.kind in ("length", "mass", "force"):
        return _figure(text, column, unit, manner)
    if column.kind == "date":
        return _date(text, manner)
    if column.kind == "yes-no":
        return _yes_no(text)
    if column.kind == "choice":
        return _choice(text, column.choices)
    return text


def as_typed(value: Cell, column: Column) -> str | bool:
    """A value as it would be typed into a form's field."""
    if value is None or isinstance(value, str | bool):
        return "" if value is None else value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Figure):
        return value.text
    kind: Literal["length", "mass", "force"] = column.kind  # type: ignore[assignment]  # all figures are
    return write_quantity(Range.exactly(float(value)), kind)


def _figure(text: str, column: Column, unit: str, manner: Manner) -> Figure:
    text = _comma(text, manner)
    if _BARE.match(text):
        text = f"{text} {unit or bare_unit(column, manner.system)}"
    kind: Literal["length", "mass", "force"] = column.kind  # type: ignore[assignment]  # asked by the caller
    try:
        figure = read_quantity(text, kind, manner.system, sign="zero-up")
    except QuantityError as error:
        raise CellError(str(error)) from None
    if not figure.is_single:
        raise CellError(f"found the range '{text[:40]}'; write one figure")
    return Figure(figure.likely, text)


def _comma(text: str, manner: Manner) -> str:
    if "," not in text:
        return text
    if manner.comma == "decimals":
        return text.replace(".", "").replace(",", ".") if text.count(",") == 1 else text
    if manner.comma == "" and _DOUBTFUL_COMMA.search(text):
        meant = text.replace(",", "")
        raise CellError(
            f"found '{text[:40]}', which may be {text.replace(',', '.')} or {meant}; "
            "choose above what a comma is"
        )
    return text


def _date(text: str, manner: Manner) -> date:
    if found := _ISO.match(text):
        return _real(int(found[1]), int(found[2]), int(found[3]), text)
    if found := _WORDED.match(text):
        word = (found[2] or found[3]).casefold()
        months = [k for k, name in enumerate(_MONTHS, 1) if name.startswith(word)]
        if len(months) == 1:
            return _real(int(found[5]), months[0], int(found[1] or found[4]), text)
    if found := _SLASHED.match(text):
        return _ordered(found, text, manner)
    raise CellError(f"found '{text[:40]}' where a date is wanted; write it as 2024-03-15")


def _ordered(found: re.Match[str], text: str, manner: Manner) -> date:
    if len(found[4]) == 2:
        raise CellError(f"found '{text}', a year of two digits; write four, best as 2024-03-15")
    first, second, year = int(found[1]), int(found[3]), int(found[4])
    if not manner.dates:
        raise CellError(
            f"found '{text}': choose above whether the day or the month stands first, or write "
            f"{year}-{'month-day' if first <= 12 and second <= 12 else _only(first, second)}"
        )
    month, day = (second, first) if manner.dates == "day" else (first, second)
    if month > 12 and day <= 12:
        order = "day" if manner.dates == "month" else "month"
        raise CellError(
            f"found '{text}': there is no month {month}; with the {order} first it would be "
            f"{year}-{day:02}-{month:02}. Are the file's dates of two kinds?"
        )
    return _real(year, month, day, text)


def _only(first: int, second: int) -> str:
    """The one way in which two numbers can be month and day."""
    month, day = (second, first) if second <= 12 else (first, second)
    return f"{month:02}-{day:02}"


def _real(year: int, month: int, day: int, text: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise CellError(
            f"found '{text[:40]}', a day that is in no calendar; write it as 2024-03-15"
        ) from None


def _yes_no(text: str) -> bool:
    word = text.casefold()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise CellError(f"found '{text[:40]}' where yes or no is wanted")


def _choice(text: str, choices: Mapping[str, str]) -> str:
    found = {choices[text]} if text in choices else _folded(tuple(choices.items())).get(fold(text), set())
    if len(found) == 1:
        return next(iter(found))
    if found:
        raise CellError(f"found '{text[:40]}', which reads like several that are known; write it exactly")
    words = list(dict.fromkeys(choices))
    if len(words) <= _FEW:
        known = f"it is one of {', '.join(words)}" if words else "none is on record yet: enter it there first"
        raise CellError(f"found '{text[:40]}'; {known}")
    near = get_close_matches(text.casefold()[:60], words, n=3, cutoff=0.5)
    hint = f"nearest are {', '.join(near)}" if near else f"such as {', '.join(words[:3])}"
    raise CellError(f"found '{text[:40]}', which is none of the {len(words)} known; {hint}")


@lru_cache(maxsize=32)
def _folded(choices: tuple[tuple[str, str], ...]) -> Mapping[str, set[str]]:
    """What each word may mean, by the word without its capitals and signs."""
    meant: dict[str, set[str]] = {}
    for word, value in choices:
        meant.setdefault(fold(word), set()).add(value)
    return meant
