"""Cells read to values."""

from __future__ import annotations

from datetime import date

import pytest

from ropewright.web.tables.cells import Cell, CellError, DateOrder, Manner, read_cell
from ropewright.web.tables.columns import Column, ColumnKind


def column(kind: ColumnKind, **choices: str) -> Column:
    return Column("x", "x", kind, choices=choices)


@pytest.mark.parametrize(
    ("text", "kind", "unit", "value"),
    [
        ("60 m", "length", "", 60.0),
        ("200 ft", "length", "m", 60.96),
        ("200", "length", "ft", 60.96),
        ("12.5 mm", "length", "", 0.0125),
        ("30", "force", "", 30_000.0),
        ("30", "force", "lbf", 133.44664845),
        ("1,800 lbf", "force", "", 8006.798907),
        ("95", "mass", "", 95.0),
        ("0", "mass", "", 0.0),
    ],
)
def test_figures(text: str, kind: ColumnKind, unit: str, value: float) -> None:
    assert read_cell(text, column(kind), unit, Manner()) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "order", "value"),
    [
        ("2024-03-05", "", date(2024, 3, 5)),
        ("2024-3-5", "", date(2024, 3, 5)),
        ("2024-03-05 00:00:00", "", date(2024, 3, 5)),
        ("5 Mar 2024", "", date(2024, 3, 5)),
        ("March 5, 2024", "", date(2024, 3, 5)),
        ("05/03/2024", "day", date(2024, 3, 5)),
        ("05/03/2024", "month", date(2024, 5, 3)),
        ("5.3.2024", "day", date(2024, 3, 5)),
    ],
)
def test_dates(text: str, order: DateOrder, value: date) -> None:
    assert read_cell(text, column("date"), "", Manner(dates=order)) == value


@pytest.mark.parametrize(
    ("text", "order", "told"),
    [
        ("25/12/2024", "", "choose above whether the day or the month stands first, or write 2024-12-25"),
        ("12/25/2024", "", "or write 2024-12-25"),
        ("05/03/24", "day", "a year of two digits"),
        ("30/02/2024", "day", "a day that is in no calendar"),
        ("45000", "day", "found '45000' where a date is wanted; write it as 2024-03-15"),
        ("Ma 5 2024", "", "where a date is wanted"),
        ("05/03-2024", "day", "where a date is wanted"),
    ],
)
def test_dates_that_are_not_guessed(text: str, order: DateOrder, told: str) -> None:
    with pytest.raises(CellError) as error:
        read_cell(text, column("date"), "", Manner(dates=order))
    assert told in str(error.value)


@pytest.mark.parametrize(
    ("text", "value"), [("Yes", True), ("x", True), ("1", True), ("NO", False), ("0", False), ("✓", True)]
)
def test_yes_and_no(text: str, value: Cell) -> None:
    assert read_cell(text, column("yes-no"), "", Manner()) is value


def test_a_word_of_a_choice_is_found_in_any_spelling_but_never_between_two() -> None:
    choices = column("choice", **{"Bay 1": "1", "Bay-2": "2", "bay 2": "3"})
    assert read_cell("BAY-1", choices, "", Manner()) == "1"
    assert read_cell("Bay-2", choices, "", Manner()) == "2"
    with pytest.raises(CellError, match="reads like several that are known; write it exactly"):
        read_cell("BAY 2", choices, "", Manner())


def test_a_comma_is_a_decimal_only_where_that_was_chosen() -> None:
    assert read_cell("1.234,5 m", column("length"), "", Manner(comma="decimals")) == pytest.approx(1234.5)
    with pytest.raises(CellError, match=r"may be 1\.800 lbf or 1800 lbf"):
        read_cell("1,800 lbf", column("force"), "", Manner(comma=""))
