"""Keeping a procedure's text: what lists show of it, the rig that it starts from, its name."""

from __future__ import annotations

import json
from typing import Any, cast

from django.db import transaction

from ropewright.rig import RigFileError
from ropewright.rig.yamltext import load_yaml
from ropewright.web.accounts.models import Account
from ropewright.web.procedures.models import Procedure, ProcedureSave
from ropewright.web.procedures.names import free_name
from ropewright.web.procedures.source import RIG_ENDING, source_of
from ropewright.web.versions import saving
from ropewright.web.versions.saving import Heads, Saved, Shelf
from ropewright.web.workings.background import ask

__all__ = ["SHELF", "begin", "plain", "save", "titled"]


def _read(text: str) -> Heads:
    """Title, line and rig as far as the text says them, and everything wrong with it."""
    source = source_of(text)
    title, about, rig = _said(text)
    fields = {"rig_slug": rig}
    try:
        source.read()
    except RigFileError as error:
        return Heads(title, about, error.faults, fields)
    return Heads(title, about, (), fields)


def _said(text: str) -> tuple[str, str, str]:
    try:
        value: Any = load_yaml(text, "procedure file").value
    except RigFileError:
        value = None
    found = value if isinstance(value, dict) else {}
    title, about, rig = (
        found[key] if isinstance(found.get(key), str) else "" for key in ("procedure", "about", "from")
    )
    return title, about, rig.removesuffix(RIG_ENDING)[:80]


SHELF = Shelf(Procedure, ProcedureSave, "procedure", "`procedure:` and a title", _read, free_name)


def plain(text: str) -> str:
    """A text as it is kept. Errors: SaveError for what no store or reader takes."""
    return saving.plain(text, SHELF.noun, SHELF.starts)


def save(
    procedure: Procedure, text: str, author: Account, *, base: int, note: str = "", key: str = ""
) -> Saved:
    """Keep a text as the next version of a procedure, and begin to work it out. Errors: SaveError."""
    saved = saving.save(SHELF, procedure, text, author, base=base, note=note, key=key)
    _work_out(saved.version.text)
    return saved


def begin(text: str, author: Account, *, note: str = "", key: str = "") -> Procedure:
    """Make a procedure with its first version, named after its title. Errors: SaveError."""
    title, _, _ = _said(text)
    for _try in range(5):  # somebody may take the free name at the same moment
        try:
            made = saving.begin(SHELF, free_name(title), text, author, note=note, key=key)
            break
        except saving.NameTakenError:
            continue
    else:
        raise saving.SaveError("no free name was found; give it another title")
    _work_out(text)
    return cast(Procedure, made)


def _work_out(text: str) -> None:
    """Have the proof ready by the time that somebody looks."""
    source = source_of(text)
    with transaction.atomic():
        ask("procedure", source.parts, source.asked)


def titled(text: str, title: str) -> str:
    """A text that was written by the search, under another title: its first line is that."""
    _, _, rest = text.partition("\n")
    return f"procedure: {json.dumps(title, ensure_ascii=False)}\n{rest}"
