"""The name of a rig in addresses and files; no word of our own addresses."""

from __future__ import annotations

from ropewright.web.rigs.models import Rig
from ropewright.web.versions import names

__all__ = ["OWN_WORDS", "free_name", "name_of"]

OWN_WORDS = frozenset(
    {"new", "edit", "start", "live", "table", "tables", "compare", "upload", "pictures", "cards"}
)
"""Words that stand in an address where a rig's name could stand."""


def name_of(title: str) -> str:
    """The name that follows from a title."""
    return names.name_of(title, "rig", OWN_WORDS)


def free_name(title: str) -> str:
    """The same, with a number behind it where another rig has it."""
    return names.free_name(Rig, name_of(title))
