"""Saving a rig's text, as `versions.saving` keeps files."""

from __future__ import annotations

from typing import cast

from ropewright.rig import RigFileError
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.models import Rig, RigSave
from ropewright.web.rigs.names import free_name
from ropewright.web.versions import saving
from ropewright.web.versions.saving import (
    LONGEST_KEY,
    LONGEST_NOTE,
    Heads,
    NameTakenError,
    Saved,
    SaveError,
    Shelf,
)
from ropewright.web.workings.engine import read_for_team

__all__ = [
    "LONGEST_KEY",
    "LONGEST_NOTE",
    "SHELF",
    "NameTakenError",
    "SaveError",
    "Saved",
    "begin",
    "plain",
    "save",
]


def _read(text: str) -> Heads:
    try:
        rig = read_for_team(text)
    except RigFileError as error:
        return Heads(faults=error.faults)
    return Heads(rig.rig, rig.about)


SHELF = Shelf(Rig, RigSave, "rig", "`rig:` and a title", _read, free_name)


def plain(text: str) -> str:
    """A text as it is kept. Errors: SaveError for what no store or reader takes."""
    return saving.plain(text, SHELF.noun, SHELF.starts)


def save(rig: Rig, text: str, author: Account, *, base: int, note: str = "", key: str = "") -> Saved:
    """Keep a text as the next version of a rig. Errors: SaveError."""
    return saving.save(SHELF, rig, text, author, base=base, note=note, key=key)


def begin(name: str, text: str, author: Account, *, note: str = "", key: str = "") -> Rig:
    """Make a rig with its first version. Errors: NameTakenError, SaveError."""
    return cast(Rig, saving.begin(SHELF, name, text, author, note=note, key=key))
