"""How ropes are told apart: by the pattern of the line first, by its colour second."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Stroke", "strokes"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line: colour, width, dashes ('' is solid), and the words for it."""

    colour: str
    width: float
    dash: str
    words: str


_STROKES = (
    Stroke("#12355b", 2.6, "", "solid"),
    Stroke("#8c2f0d", 2.6, "9 4", "dashed"),
    Stroke("#22602f", 2.6, "11 3.5 2.5 3.5", "dash-dot"),
    Stroke("#5e2a76", 2.6, "3 3.2", "short dashes"),
    Stroke("#6d5300", 2.6, "14 3 2.5 3 2.5 3", "dash and two dots"),
    Stroke("#0b5c63", 1.5, "", "thin"),
    Stroke("#7a1f45", 1.5, "7 4", "thin, dashed"),
    Stroke("#404a12", 1.5, "9 3 2 3", "thin, dash-dot"),
)


def strokes(ropes: list[str]) -> dict[str, Stroke]:
    """A line for each rope, in the order of the file; after the eighth they begin again."""
    return {rope: _STROKES[k % len(_STROKES)] for k, rope in enumerate(ropes)}
