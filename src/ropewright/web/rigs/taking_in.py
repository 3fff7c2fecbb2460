"""Taking in a rig file: read it, tell what is wrong with it, save it as new or as the next version."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from django.db import IntegrityError, transaction

from ropewright.rig import Fault, RigFileError
from ropewright.rig.textfile import read_text
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.models import Rig, RigVersion
from ropewright.web.rigs.names import name_of
from ropewright.web.workings.engine import read_for_team

__all__ = ["Read", "name_in_file", "read_in", "save_as_new", "save_as_version"]

ENDINGS = (".rig.yaml", ".rig.yml", ".yaml", ".yml", ".txt")


@dataclass(frozen=True, slots=True)
class Read:
    """A text that was taken in: what it is called inside, or everything wrong with it."""

    text: str
    title: str = ""
    about: str = ""
    faults: tuple[Fault, ...] = ()


def read_in(source: str | bytes) -> Read:
    """Read what somebody sent. The text is kept as far as it is one, whatever is wrong with it."""
    try:
        text = read_text(source, "rig file", "a rig file", "lower.rig.yaml")
    except RigFileError as error:
        kept = (
            source if isinstance(source, str) else source.decode("utf-8", "replace").replace("\0", "\ufffd")
        )
        return Read(kept.replace("\r\n", "\n"), faults=error.faults)
    try:
        rig = read_for_team(text)
    except RigFileError as error:
        return Read(text, faults=error.faults)
    return Read(text, rig.rig, rig.about)


def name_in_file(file_name: str, title: str) -> str:
    """The name that a rig gets: its file's, without the ending; else one made from its title."""
    for ending in ENDINGS:
        if file_name.lower().endswith(ending):
            return name_of(file_name[: -len(ending)])
    return name_of(file_name or title)


def save_as_new(name: str, read: Read, author: Account, note: str) -> RigVersion | None:
    """Save a text as a new rig; None where somebody took the name meanwhile."""
    try:
        with transaction.atomic():
            rig = Rig.objects.create(slug=name)
            made: RigVersion = rig.save_version(
                read.text, author, note=note, title=read.title, about=read.about
            )
    except IntegrityError:
        return None
    return made


Saved = Literal["same"]


def save_as_version(rig: Rig, read: Read, author: Account, base: int, note: str) -> RigVersion | Saved:
    """Save a text as the next version of a rig, unless it is what the current one says already."""
    if rig.current.text == read.text:
        return "same"
    made: RigVersion = rig.save_version(
        read.text, author, base=base, note=note, title=read.title, about=read.about
    )
    return made
