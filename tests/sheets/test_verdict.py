"""A sheet says what was shown and under what, and never promises; a check has no verdict over it."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from ropewright.sheets.leaf_text import leaf_text
from ropewright.sheets.procedure_sheets import SHEETS

from .stories import WRONG, made, story


@pytest.mark.parametrize("sheet", ["brief", "storyboard", "skill-sheet"])
def test_the_verdict_tells_what_was_shown_and_which_checks_are_missing(sheet: str) -> None:
    told = story("ascent-to-descent")
    leaf = SHEETS[sheet](told)
    assert len(told.missing) == 2
    assert leaf.verdict == "NO STEP REFUSED; 2 CHECKS MISSING"
    assert leaf.judged.startswith("Judged by the model, as entered (student 95 kg (209 lb)), and by ")
    assert SHEETS[sheet](replace(told, missing=())).verdict == "NO STEP REFUSED"


def test_no_verdict_stands_over_a_pre_load_check() -> None:
    leaf = SHEETS["check"](story("ascent-to-descent"))
    assert leaf.verdict == ""
    assert leaf.judged.startswith("What is rigged is held against ")


def test_a_refusal_stands_over_the_check_too(tmp_path: Path) -> None:
    assert SHEETS["check"](made(tmp_path, WRONG)).verdict == "NOT PROVED"


@pytest.mark.parametrize("sheet", SHEETS)
def test_no_sheet_says_that_steps_are_proved(sheet: str) -> None:
    text = leaf_text(SHEETS[sheet](story("ascent-to-descent")))
    assert not re.search(r"(?i)(every|all|each) steps? proved|is proved|\bsafe\b", text)
