"""The form in which a rope is cut."""

from __future__ import annotations

from typing import Any

from django import forms

from ropewright.web.fields import FigureField
from ropewright.web.gear.cutting import SHORTEST, Piece
from ropewright.web.gear.fields import PlainForm

__all__ = ["CutForm"]

_ROWS = 4


class CutForm(PlainForm):
    """Why a rope is cut, and up to four pieces with their marks and lengths."""

    why = forms.CharField(max_length=150, label="Why it is cut")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for n in range(1, _ROWS + 1):
            self.fields[f"mark_{n}"] = forms.CharField(
                max_length=40, required=n == 1, label=f"Piece {n}: its new mark"
            )
            self.fields[f"length_{n}"] = FigureField(
                "length", SHORTEST, 1000, "a piece", required=n == 1, label=f"Piece {n}: its length"
            )

    @property
    def pieces(self) -> list[Piece]:
        """The pieces that were filled in."""
        cleaned = self.cleaned_data
        return [
            Piece(" ".join(cleaned[f"mark_{n}"].split()), cleaned[f"length_{n}"])
            for n in range(1, _ROWS + 1)
            if cleaned.get(f"mark_{n}") and cleaned.get(f"length_{n}")
        ]

    def clean(self) -> dict[str, Any]:
        """A piece has both a mark and a length, or isn't there."""
        cleaned = super().clean()
        for n in range(1, _ROWS + 1):
            mark, length = cleaned.get(f"mark_{n}"), cleaned.get(f"length_{n}")
            if mark and "," in mark:
                self.add_error(f"mark_{n}", "a mark has no comma in it")
            if bool(mark) != bool(length) and not self.has_error(f"mark_{n}"):
                lacks = "length" if mark else "mark"
                if not self.has_error(f"{lacks}_{n}"):
                    self.add_error(f"{lacks}_{n}", f"piece {n} has no {lacks}; give both or neither")
        return cleaned
