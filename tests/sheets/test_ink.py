"""A picture in one ink: black on paper, strokes thick enough, words large enough, nothing cut off."""

from __future__ import annotations

import re

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.drawing import compose, draw_rig, subject_of
from ropewright.sheets.glyphs import shown
from ropewright.sheets.ink import LEAST_SIZE, LEAST_STROKE, TRIM, printable

from .cards import NAMES, examined


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_is_black_and_as_small_as_words_allow(name: str) -> None:
    x = examined(name)
    drawn = draw_rig(x.rig, load_catalogue(), x, framed=False)
    made = printable(drawn)
    assert set(re.findall(r'(?:fill|stroke)="([^"]+)"', made.svg)) <= {"#000000", "#ffffff", "none"}
    scale = made.width / (drawn.width - 2 * TRIM)
    sizes = [float(s) for s in re.findall(r'font-size="([\d.]+)"', made.svg)]
    assert min(sizes) * scale == pytest.approx(LEAST_SIZE)
    widths = [float(s) for s in re.findall(r'stroke-width="([\d.]+)"', made.svg)]
    assert min(w for w in widths if w > 0) * scale >= LEAST_STROKE * 0.99


@pytest.mark.parametrize("name", NAMES)
def test_trimming_cuts_nothing_off(name: str) -> None:
    x = examined(name)
    box = compose(subject_of(x.rig, load_catalogue(), x)).box
    drawn = draw_rig(x.rig, load_catalogue(), x, framed=False)
    assert drawn.width - (box.right - box.left) >= 2 * TRIM
    assert drawn.height - (box.bottom - box.top) >= 2 * TRIM


def test_letters_without_a_glyph_are_spelt_out() -> None:
    assert shown("漢\u202e\x1b x") == "\\u6f22\\u202e\\x1b x"


def test_figures_keep_their_units() -> None:
    assert shown("0.93 kN (209 lbf)") == "0.93\u00a0kN (209\u00a0lbf)"


def test_endless_words_are_given_a_break_and_hyphened_ones_are_not() -> None:
    assert shown("x" * 40) == "x" * 30 + " " + "x" * 10
    name = "carabiner-locking-of-the-second-device-on-the-left"
    assert shown(name) == name
