"""The name of a procedure in addresses and files; no word of our own addresses."""

from __future__ import annotations

from ropewright.web.procedures.models import Procedure
from ropewright.web.versions import names

__all__ = ["OWN_WORDS", "free_name", "name_of"]

OWN_WORDS = frozenset({"new", "upload", "find", "working", "first", "live", "steps"})
"""Words that stand in an address where a procedure's name could stand."""


def name_of(title: str) -> str:
    """The name that follows from a title."""
    return names.name_of(title, "procedure", OWN_WORDS)


def free_name(title: str) -> str:
    """The same, with a number behind it where another procedure has it."""
    return names.free_name(Procedure, name_of(title))
