"""What an act of the tables gives back."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Done"]


@dataclass(frozen=True, slots=True)
class Done:
    """A changed text, what was done in words, and the row that it was done to, where the eye should go."""

    text: str
    told: str
    row: str = ""
