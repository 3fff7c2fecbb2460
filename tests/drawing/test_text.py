"""Measured text, against the typesetter that prints it."""

from __future__ import annotations

import pytest
import typst

from ropewright.drawing import FAMILY, font_folder
from ropewright.drawing.text import cut, plain, width, wrapped

SAMPLES = (
    "0.95 kN (213 lbf)",
    "figure-eight-bight",
    "interior angle 60°",
    "Ångström, кабель, λ–μ",
    "WAVE jig",
)


@pytest.mark.parametrize("text", SAMPLES)
@pytest.mark.parametrize("weight", ["normal", "bold"])
def test_a_line_is_as_wide_as_the_typesetter_makes_it(text: str, weight: str) -> None:
    source = (
        f'#set text(font: "{FAMILY}", size: 100pt, kerning: false, ligatures: false, '
        f"weight: {600 if weight == 'bold' else 400})\n"
        f'#context [#metadata(measure("{text}").width.pt()) <w>]'
    )
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(font_folder())]
    )
    found = typst.query(source.encode(), "<w>", field="value", one=True, font_paths=fonts)
    assert width(text, 100, weight) == pytest.approx(float(found), abs=0.5)


def test_what_draws_nothing_is_left_out_and_long_names_are_cut() -> None:
    assert plain("a\u202eb\x1b[31m\tc\n d") == "ab[31m c d"
    assert plain("x" * 100, 20) == "x" * 19 + "…"
    assert plain("\u0000\u200b") == ""


def test_characters_that_the_typeface_lacks_still_take_room() -> None:
    assert width("漢字", 10) == pytest.approx(20)
    assert width("e\u0301", 10) < 2 * width("e", 10)


def test_lines_are_no_wider_than_asked() -> None:
    text = "Computed from what was entered, for planning and training under a qualified person " + "w" * 200
    lines = wrapped(text, 12, 150)
    assert len(lines) > 3
    assert max(width(line, 12) for line in lines) <= 150
    assert cut("as wide as it is", 12, 500) == "as wide as it is"
    assert cut("as wide as it is", 12, 40).endswith("…")
