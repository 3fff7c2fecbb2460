"""Whatever is written is read back the same, and no cell of it can start a formula."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from datetime import date
from io import BytesIO, StringIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from ropewright.quantity import System
from ropewright.web.tables.cells import Cell, Manner
from ropewright.web.tables.columns import Column, match_columns
from ropewright.web.tables.importing import read_rows, same
from ropewright.web.tables.neutral import is_dangerous
from ropewright.web.tables.reading import read_table
from ropewright.web.tables.writing import header_of, row_of, write_csv, write_xlsx

COLUMNS = (
    Column("mark", "own mark", needed=True),
    Column("note", "note"),
    Column("length", "length", "length"),
    Column("mass", "mass", "mass"),
    Column("strength", "strength", "force"),
    Column("made", "made", "date"),
    Column("textile", "textile", "yes-no"),
    Column("state", "state", "choice", choices={"in service": "in-service", "=odd": "odd"}),
)
TEXT = st.text(
    st.characters(exclude_categories=["C"], include_characters="\n=+-@;|'\" ,"), min_size=1, max_size=30
)
STRIPPED = TEXT.map(str.strip).filter(bool)
NASTY = st.text("=+-@'\"|;, \nx1＝－", min_size=1, max_size=10).map(str.strip).filter(bool)
FIGURE = st.one_of(st.none(), st.just(0.0), st.floats(1e-6, 1e4))
ROW = st.tuples(
    st.one_of(STRIPPED, NASTY),
    st.one_of(st.none(), STRIPPED, NASTY),
    FIGURE,
    FIGURE,
    FIGURE,
    st.one_of(st.none(), st.dates(date(1970, 1, 1), date(2100, 1, 1))),
    st.booleans(),
    st.sampled_from(["in-service", "odd"]),
)
FILES = st.lists(ROW, min_size=1, max_size=4)


def written(rows: Sequence[Sequence[Cell]], kind: str, system: System) -> bytes:
    header, cells = header_of(COLUMNS, system), [row_of(row, COLUMNS, system) for row in rows]
    return write_csv(header, cells) if kind == "csv" else write_xlsx(header, cells, "table")


@settings(max_examples=60, deadline=None)
@given(FILES, st.sampled_from(["csv", "xlsx"]), st.sampled_from(["metric", "us"]))
def test_what_is_written_is_read_back_the_same(
    rows: list[tuple[Cell, ...]], kind: str, system: System
) -> None:
    table = read_table(written(rows, kind, system))
    matching = match_columns(table, COLUMNS, {})
    assert matching.faults == ()
    for row, read in zip(rows, read_rows(table, matching, COLUMNS, Manner()), strict=True):
        hidden = [fault for fault in read.faults if "hidden character" not in fault.text]
        assert not hidden
        if not read.faults:
            for column, value in zip(COLUMNS, row, strict=True):
                assert same(read.values[column.key], value), column.key


@settings(max_examples=100, deadline=None)
@given(st.lists(st.lists(NASTY, min_size=1, max_size=4), min_size=1, max_size=3), st.sampled_from(",;\t"))
def test_no_cell_of_a_csv_file_starts_a_formula_whatever_parts_its_cells(
    rows: list[list[str]], separator: str
) -> None:
    text = write_csv(["a"], rows).decode("utf-8-sig")
    for record in csv.reader(StringIO(text, newline=""), delimiter=separator):
        assert not [cell for cell in record if is_dangerous(cell.strip())]


def test_a_quotation_mark_behind_a_semicolon_swallows_no_rows() -> None:
    text = write_csv(["a"], [["1", ';"'], ["2"]]).decode("utf-8-sig")
    assert len(list(csv.reader(StringIO(text, newline=""), delimiter=";"))) == 3
    assert read_table(write_csv(["a", "b"], [["1", ';"']])).rows[0].cells == ("1", ';"')


@settings(max_examples=40, deadline=None)
@given(st.lists(NASTY, min_size=1, max_size=5))
def test_no_cell_of_a_workbook_is_a_formula(texts: list[str]) -> None:
    sheet = load_workbook(BytesIO(write_xlsx(["=a"], [texts], "table"))).active
    assert sheet is not None
    for row in sheet.iter_rows():
        for cell in (cell for cell in row if cell.value is not None):
            assert cell.data_type == "s"
            assert not is_dangerous(str(cell.value))


def test_figures_stay_figures_and_the_header_names_their_unit() -> None:
    rows: list[tuple[Cell, ...]] = [
        ("R-1", None, 60.96, 95.0, 30_000.0, date(2024, 3, 15), True, "in-service")
    ]
    metric = written(rows, "csv", "metric").decode("utf-8-sig").split("\r\n")
    assert metric[0] == '"own mark","note","length (m)","mass (kg)","strength (kN)","made","textile","state"'
    assert metric[1] == '"R-1","",60.96,95,30,"2024-03-15","yes","in service"'
    us = written(rows, "csv", "us").decode("utf-8-sig").split("\r\n")[1]
    assert us.startswith('"R-1","",200,209.43')


@pytest.mark.parametrize("text", ["a\x00b", "a\x1fb", "a\ufffeb", "a\ud800b"])
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_no_file_can_hold_is_left_out(text: str, kind: str) -> None:
    content = write_csv(["a"], [[text]]) if kind == "csv" else write_xlsx(["a"], [[text]], "t")
    assert read_table(content).rows[0].cells == ("ab",)
