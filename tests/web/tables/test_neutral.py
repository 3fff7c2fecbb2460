"""Texts that a spreadsheet must not take for formulas."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.web.tables.neutral import is_dangerous, neutral, neutral_csv, restored, restored_csv

NASTY = st.text(alphabet="=+-@'\"\t\r\n ;|,a=1＝－", max_size=12)


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\rx", ' "=1', "'=1", "＝1+1", "−1"]
)
def test_a_dangerous_start_gets_an_apostrophe(text: str) -> None:
    assert neutral(text) == f"'{text}"


@pytest.mark.parametrize("text", ["", "TH-1", "10 m", "a=b", "'quoted'"])
def test_other_texts_stay(text: str) -> None:
    assert neutral(text) == text


def test_a_cell_that_another_separator_would_start_is_guarded_in_csv() -> None:
    assert neutral_csv("wet;=1+1") == "wet;'=1+1"
    assert neutral_csv("wet\n- dry") == "wet\n'- dry"
    assert neutral_csv("wet, -5 °C") == "wet, -5 °C"


@given(NASTY)
def test_the_way_back_is_exact(text: str) -> None:
    assert restored(neutral(text)) == text
    assert restored_csv(neutral_csv(text)) == text


@given(NASTY)
def test_nothing_that_was_neutralised_is_dangerous(text: str) -> None:
    assert not is_dangerous(neutral(text))
    assert not is_dangerous(neutral_csv(text))
