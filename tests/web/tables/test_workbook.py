"""XLSX: typed cells, formulas, other sheets, and archives that are not opened."""

from __future__ import annotations

import zipfile
from datetime import date, datetime
from io import BytesIO

import pytest
from openpyxl import Workbook

from ropewright.web.tables.reading import read_table
from ropewright.web.tables.table import TableError
from tests.web.tables.files import archive, workbook

BONES = {"[Content_Types].xml": b"<x/>", "xl/workbook.xml": b"<x/>"}


def test_cells_are_read_by_their_type() -> None:
    content = workbook(
        ["a", "b", "c", "d", "e", "f"],
        [60, 10.5, datetime.fromisoformat("2024-03-15"), True, " text ", date(2023, 1, 2)],
    )
    assert read_table(content).rows[0].cells == ("60", "10.5", "2024-03-15", "yes", "text", "2023-01-02")


def test_a_unit_that_only_the_number_format_shows_is_read() -> None:
    content = workbook(["length", "mass"], [200, 80.5], formats={"A2": '0" ft"', "B2": '0.0 "pieces"'})
    assert read_table(content).rows[0].cells == ("200 ft", "80.5")


def test_a_formula_and_an_error_are_read_as_nothing_and_told() -> None:
    table = read_table(workbook(["mark", "length"], ["TH-1", "=20*3"], ["TH-2", "#REF!"]))
    assert table.rows[0].cells == ("TH-1", "")
    assert table.rows[0].left_out == {1: "holds a formula, which is not read"}
    assert table.rows[1].left_out == {1: "holds the spreadsheet's error #REF!"}
    assert table.told[0].startswith("Cells that hold a formula or an error, and no plain value: 2.")


def test_the_first_sheet_with_anything_on_it_is_read_and_the_others_are_told() -> None:
    book = Workbook()
    second = book.create_sheet("Ropes")
    second.append(["mark"])
    second.append(["TH-1"])
    book.create_sheet("Old").append(["x"])
    stream = BytesIO()
    book.save(stream)
    table = read_table(stream.getvalue())
    assert table.read_as == "XLSX, sheet 'Ropes'"
    assert table.told == ("Sheet 'Ropes' was read; 2 other sheets were not.",)


def test_rows_keep_their_numbers_over_gaps() -> None:
    assert [r.number for r in read_table(workbook(["mark"], ["1"], [None], ["2"])).rows] == [2, 4]


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (workbook(), "The workbook has no cell with anything in it."),
        (workbook(["mark"]), "There is a header (row 1) and nothing below it."),
        (
            workbook(["mark"], *([k] for k in range(5001))),
            "The table has 5001 rows or more; 5000 are the most.",
        ),
        (workbook([str(k) for k in range(61)], [1]), "The table has 61 columns; 60 are the most."),
        (b"PK\x03\x04 and nothing else", "The workbook is damaged"),
        (archive({"notes.txt": b"hello"}), "The file is a ZIP archive, but no XLSX workbook."),
        (archive({**BONES, "xl/vbaProject.bin": b"x"}), "The workbook holds macros."),
        (archive(BONES), "The workbook can't be followed"),
        (archive({**BONES, "xl/bomb.xml": bytes(70_000_000)}), "would unpack to 70 MB; 60 MB are the most"),
        (archive({**BONES, "xl/bomb.xml": bytes(30_000_000)}), "times its size; 100 times is the most"),
        (archive({**BONES, **{f"xl/{k}": b"" for k in range(300)}}), "The archive has 302 members"),
    ],
)
def test_what_can_not_be_opened_is_refused(content: bytes, told: str) -> None:
    with pytest.raises(TableError) as error:
        read_table(content)
    assert told in str(error.value)


def _with_sheet(xml: bytes) -> bytes:
    """A good workbook with another text for its sheet."""
    good = zipfile.ZipFile(BytesIO(workbook(["mark"], ["1"])))
    return archive(
        {name: xml if name == "xl/worksheets/sheet1.xml" else good.read(name) for name in good.namelist()}
    )


def test_entities_in_the_xml_are_refused() -> None:
    sheet = (
        b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "lol"><!ENTITY b "&a;&a;">]>'
        b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="1">'
        b'<c r="A1" t="inlineStr"><is><t>&b;</t></is></c></row></sheetData></worksheet>'
    )
    with pytest.raises(TableError, match="declares entities"):
        read_table(_with_sheet(sheet))


def test_a_lone_cell_far_below_is_not_waited_for() -> None:
    sheet = (
        b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        b'<row r="1"><c r="A1" t="inlineStr"><is><t>mark</t></is></c></row>'
        b'<row r="1048576"><c r="A1048576"><v>1</v></c></row></sheetData></worksheet>'
    )
    with pytest.raises(TableError, match="goes on below row 50000"):
        read_table(_with_sheet(sheet))


def test_an_archive_that_lies_about_a_size_gives_no_more_than_it_said() -> None:
    content = bytearray(archive({**BONES, "xl/worksheets/sheet1.xml": bytes(2_000_000)}))
    content = content.replace((2_000_000).to_bytes(4, "little"), (1000).to_bytes(4, "little"))
    with pytest.raises(TableError):
        read_table(bytes(content))
