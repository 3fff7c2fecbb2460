"""What every part of the page has in common: an answered rig, its tally, names, lines of one width."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

from ropewright.cli.terminal import clean

if TYPE_CHECKING:  # the model is imported once a file is read: bad words on the line cost no start
    from ropewright.effort import Outlook, RigAnswer, Verdict

__all__ = ["NAME", "VERDICTS", "WIDTH", "Answered", "names", "tally", "wrapped"]

WIDTH = 110
NAME = 24
"""Columns of a name in a table."""
VERDICTS: tuple[Verdict, ...] = ("yes", "maybe", "not known", "no", "equipment limit")


@dataclass(frozen=True, slots=True)
class Answered:
    """One rig file with its answer."""

    path: Path
    answer: RigAnswer


def tally(answer: RigAnswer) -> str:
    """How many there are of each verdict."""
    count = Counter(o.verdict for o in answer.outlooks)
    return ", ".join(f"{count[v]} {v}" for v in VERDICTS if count[v]) or "nobody to put on the rope"


def names(outlooks: Sequence[Outlook]) -> str:
    """The people of these outlooks; of many the first."""
    found = [clean(o.person.name, NAME) for o in outlooks]
    return ", ".join(found[:8]) + (f" and {len(found) - 8} more" if len(found) > 8 else "")


def wrapped(text: str) -> str:
    """A paragraph whose further lines are set in."""
    return fill(text, WIDTH, subsequent_indent="  ", break_on_hyphens=False)
