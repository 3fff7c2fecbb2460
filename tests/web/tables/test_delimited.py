"""CSV: encodings, separators, quotes, and what is refused."""

from __future__ import annotations

import pytest

from ropewright.web.tables.reading import read_table
from ropewright.web.tables.table import TableError
from tests.web.tables.files import csv_bytes

TEXT = "mark,note\nTH-1,Bördkarabiner\n"


@pytest.mark.parametrize(
    ("content", "named"),
    [
        (TEXT.encode(), "UTF-8"),
        (TEXT.encode("utf-8-sig"), "UTF-8"),
        (TEXT.encode("utf-16"), "UTF-16"),
        (b"\xfe\xff" + TEXT.encode("utf-16-be"), "UTF-16"),
        (TEXT.encode("utf-16-le"), "UTF-16"),
        (TEXT.encode("utf-16-be"), "UTF-16"),
        (TEXT.encode("cp1252"), "Windows-1252"),
    ],
)
def test_the_encoding_is_found_and_said(content: bytes, named: str) -> None:
    table = read_table(content)
    assert table.header == ("mark", "note")
    assert table.rows[0].cells == ("TH-1", "Bördkarabiner")
    assert table.read_as == f"CSV, {named}, parted by commas"


def test_a_guessed_encoding_is_told() -> None:
    assert read_table(TEXT.encode("cp1252")).told == (
        "The file is no UTF-8; it was read as Windows-1252. Look whether letters with accents are right.",
    )
    assert read_table(TEXT.encode()).told == ()


@pytest.mark.parametrize(("sign", "words"), [(",", "commas"), (";", "semicolons"), ("\t", "tabs")])
def test_the_separator_is_found(sign: str, words: str) -> None:
    table = read_table(f"mark{sign}a note\nTH-1{sign}wet\n".encode())
    assert table.rows[0].cells == ("TH-1", "wet")
    assert table.read_as.endswith(words)
    assert table.comma_decimals_possible == (sign != ",")


def test_separators_in_quoted_names_do_not_count() -> None:
    assert read_table(b'"mark, own; short; clear";note\n1;2\n').header == ("mark, own; short; clear", "note")


def test_a_line_of_a_spreadsheet_that_names_the_separator_decides() -> None:
    table = read_table(b"sep=;\r\nmark,s;note\r\n1;2\r\n")
    assert table.header == ("mark,s", "note")
    assert table.rows[0].number == 3


def test_a_quoted_cell_keeps_its_lines_and_rows_are_counted_as_a_spreadsheet_does() -> None:
    table = read_table(b'mark,note\r\n1,"wet\r\nand cold"\r\n\r\n3,dry\r\n')
    assert [(row.number, row.cells) for row in table.rows] == [(2, ("1", "wet\nand cold")), (4, ("3", "dry"))]


def test_a_short_row_is_filled_and_a_long_one_is_told() -> None:
    short, long, trailing = read_table(b"mark,note\n1\n2,wet,cold\n3,dry,,\n").rows
    assert short.cells == ("1", "")
    assert long.faults == ("3 cells under 2 column names; put a text that holds the separator in quotes",)
    assert trailing.faults == ()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "The file is empty. Its first row has to name the columns."),
        (b"\n , \n", "The file is empty. Its first row has to name the columns."),
        (b"mark,note\n", "There is a header (row 1) and nothing below it."),
        (b"a,b\n1,\x00\n", "it holds the control character U+0000"),
        (b'mark,note\n1,2\n3,"wet\n4,5\n', "Row 3 is no CSV (unexpected end of data); it starts on line 3"),
        (b"a,b\n\x81,2\n", "can't be read as Windows-1252: byte 0x81 on line 2"),
        ("a\n1".encode("utf-32"), "in UTF-32, which is not read here"),
        (b"\xff\xfea\x00\n", "can't be read as UTF-16"),
        (b"%PDF-1.7\n", "The file is a PDF"),
        (b"\xd0\xcf\x11\xe0rest", "an old spreadsheet (XLS)"),
        (csv_bytes(*["mark", *map(str, range(5001))]), "The table has 5001 rows or more; 5000 are the most."),
        (csv_bytes(",".join(map(str, range(61))), "1"), "The table has 61 columns; 60 are the most."),
        (csv_bytes("a,b", "1," + "x" * 5001), "Cell B2 holds 5001 characters; 5000 are the most."),
        (csv_bytes("a,b", "1," + "x" * 200_000), "Row 2 is no CSV (field larger than field limit"),
        (b"x" * 5_000_001, "The file is larger than 5 MB."),
    ],
)
def test_what_can_not_be_read_is_refused_with_what_would_be_right(content: bytes, told: str) -> None:
    with pytest.raises(TableError) as error:
        read_table(content)
    assert told in str(error.value)
