"""Hostile text neither drives the terminal nor breaks a table."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.cli.table import render_table
from ropewright.cli.terminal import clean, width


@pytest.mark.parametrize(
    ("hostile", "shown"),
    [
        ("plain text", "plain text"),
        ("Größe 9 m, θ = 15°", "Größe 9 m, θ = 15°"),
        ("<script>alert('x')</script>", "<script>alert('x')</script>"),
        ("a\x1b[31mred", "a\\x1b[31mred"),
        ("two\nlines\r\tand\x00\x7f", "two\\x0alines\\x0d\\x09and\\x00\\x7f"),
        ("\u202egnp.exe\u2066", "\\u202egnp.exe\\u2066"),
        ("zero\u200bwidth\ufeff", "zero\\u200bwidth\\ufeff"),
        ("half \udc80", "half \\udc80"),
        ("tag \U000e0041", "tag \\U000e0041"),
        ("line\u2028end", "line\\u2028end"),
        ("\x9b31m", "\\u009b31m"),
    ],
)
def test_clean(hostile: str, shown: str) -> None:
    assert clean(hostile) == shown


def test_long_text_is_cut() -> None:
    assert clean("x" * 10_000) == "x" * 500 + "…"
    assert clean("abc", longest=3) == "abc"
    assert clean("abcd", longest=3) == "abc…"


@given(st.text())
def test_whatever_comes_out_is_one_printable_line(text: str) -> None:
    shown = clean(text)
    assert not [
        one for one in shown if unicodedata.category(one) in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
    ]
    shown.encode("utf-8")


def test_width_counts_columns() -> None:
    assert width("abc") == 3
    assert width("綱") == 2
    assert width("e\u0301") == 1


def test_table_columns_line_up_by_columns_not_characters() -> None:
    assert render_table(("name", "N"), [("綱", "1"), ("rope\x1b", "23")], right=[1]).split("\n") == [
        "name       N",
        "────────  ──",
        "綱         1",
        "rope\\x1b  23",
    ]


def test_the_last_column_is_wrapped() -> None:
    table = render_table(("a", "b"), [("x", "one two three four five six seven")], wrap_last=25)
    assert table.split("\n")[2:] == ["x  one two three four", "   five six seven"]


def test_a_row_that_is_too_short_is_refused() -> None:
    with pytest.raises(ValueError, match="every row needs 2 cells"):
        render_table(("a", "b"), [("x",)])
