"""All sheets of a procedure by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from .brief import brief
from .leaf import Leaf
from .skill_sheet import skill_sheet
from .station_check import station_check
from .storyboard import storyboard
from .telling import Story

__all__ = ["SHEETS", "Story"]

SHEETS: Mapping[str, Callable[[Story], Leaf]] = {
    "brief": brief,
    "storyboard": storyboard,
    "skill-sheet": skill_sheet,
    "check": station_check,
}
"""What makes each sheet from a story, in the order in which they are used."""
