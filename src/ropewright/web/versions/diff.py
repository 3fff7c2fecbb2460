"""What changed between two versions, line by line, for people."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import Literal

__all__ = ["Line", "changes"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a comparison. ``old`` and ``new`` are its numbers there, 0 where it is missing."""

    kind: Literal["same", "gone", "new", "gap"]
    text: str
    old: int = 0
    new: int = 0


def changes(before: str, after: str, around: int = 3) -> list[Line]:
    """The lines that went and came, with some lines around them; the rest as gaps. Empty: nothing changed."""
    old, new = before.splitlines(), after.splitlines()
    out: list[Line] = []
    for group in difflib.SequenceMatcher(None, old, new, autojunk=False).get_grouped_opcodes(around):
        if out or group[0][1] > 0:
            out.append(Line("gap", ""))
        for tag, i1, i2, j1, j2 in group:
            if tag == "equal":
                out += [Line("same", old[i], i + 1, j1 + i - i1 + 1) for i in range(i1, i2)]
                continue
            out += [Line("gone", old[i], i + 1) for i in range(i1, i2)]
            out += [Line("new", new[j], 0, j + 1) for j in range(j1, j2)]
    return out
