"""Saving a rig's text: what becomes a version, which version counts then, and what is said of it.

A text that can't be used is kept as a draft: beside the version that counts, never in its place, because
somebody may be standing at the tower with that one. What two people save at once is all kept; the later one
stands beside and waits for somebody to choose.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from django.db import IntegrityError, transaction

from ropewright.errors import RopewrightError
from ropewright.rig import Fault, RigFileError
from ropewright.rig import Rig as ReadRig
from ropewright.rig.yamltext import MOST_BYTES, hidden_character
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.models import Rig, RigSave, RigVersion
from ropewright.web.rigs.names import free_name
from ropewright.web.workings.engine import read_for_team

__all__ = [
    "LONGEST_KEY",
    "LONGEST_NOTE",
    "NameTakenError",
    "SaveError",
    "Saved",
    "begin",
    "plain",
    "save",
    "usable",
]

LONGEST_NOTE = 200
LONGEST_KEY = 64
Outcome = Literal["saved", "draft", "beside", "unchanged"]


class SaveError(RopewrightError):
    """A text that can't be kept; the words say why and what would be right."""


class NameTakenError(SaveError):
    """A name that another rig has. `free` is the nearest that none has."""

    def __init__(self, name: str, free: str) -> None:
        self.free = free
        super().__init__(f"a rig is called `{name}` already; `{free}` is free")


@dataclass(frozen=True, slots=True)
class Saved:
    """What came of a save: the version that holds the text, the one that counts now, the text's faults."""

    outcome: Outcome
    version: RigVersion
    current: RigVersion
    faults: tuple[Fault, ...] = ()

    @property
    def told(self) -> str:
        """What happened, in words."""
        number, now = self.version.number, self.current.number
        if self.outcome == "unchanged":
            return f"Nothing has changed: version {number} holds this text already. No version was made."
        wrong = f"{len(self.faults)} fault{'s' * (len(self.faults) != 1)}"
        if self.outcome == "beside":
            who = self.current.author.shown if self.current.author else "somebody"
            more = f" It has {wrong}, so it can't be used yet." if self.faults else ""
            return (
                f"Kept beside as version {number}. While you wrote, {who} saved version {now}, which counts."
                f" Nothing is lost; choose how to go on.{more}"
            )
        if self.outcome == "draft":
            return (
                f"Kept as version {number}, a draft: {wrong}, so it can't be used yet. Version {now} counts."
            )
        if self.faults:
            return f"Kept as version {number}. It has {wrong} and can't be used yet."
        return f"Kept as version {number}."


def plain(text: str) -> str:
    """A text as it is kept: line breaks of one kind. Errors: SaveError for what no store or reader takes."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > MOST_BYTES:
        raise SaveError(
            f"the text has {size:,} bytes; a rig file holds at most {MOST_BYTES:,}. Nothing was kept"
        )
    if "\0" in text:
        raise SaveError("the text holds zero bytes, which no rig file may; take them out. Nothing was kept")
    if not text.strip():
        raise SaveError("the text is empty; a rig file starts with `rig:` and a title. Nothing was kept")
    return text


def usable(text: str) -> tuple[ReadRig | None, tuple[Fault, ...]]:
    """The rig that a text says, or its faults."""
    try:
        return read_for_team(text), ()
    except RigFileError as error:
        return None, error.faults


def save(rig: Rig, text: str, author: Account, *, base: int, note: str = "", key: str = "") -> Saved:
    """Keep a text as the next version of a rig. Errors: SaveError.

    base: the version that it was written from. key: made by the page for this save; the same key again
    gives the same answer and no second version.
    """
    text, note = plain(text), _note(note)
    read, faults = usable(text)
    with transaction.atomic():
        rig = Rig.objects.select_for_update().get(pk=rig.pk)
        before = _sent_before(rig, author, key, text)
        current = rig.current
        if before is not None:
            return Saved(_outcome(before, current), before, current, faults)
        began = rig.versions.filter(number=base).first()
        if began is None:
            raise SaveError(f"version {base} of this rig does not exist; open the rig again")
        for same in (began, current):
            if same.text == text:
                return Saved("unchanged", same, current, faults)
        version = rig.save_version(
            text,
            author,
            base=_root(rig, began),
            note=note,
            title=read.rig if read else "",
            about=read.about if read else rig.about,
            draft=read is None and usable(current.text)[0] is not None,
        )
        if key:
            RigSave.objects.create(file=rig, author=author, key=key, version=version)
        return Saved(_outcome(version, current), version, version if not version.beside else current, faults)


def begin(name: str, text: str, author: Account, *, note: str = "", key: str = "") -> Rig:
    """Make a rig with its first version. Errors: NameTakenError, SaveError.

    A key that was sent before gives the rig that was made then.
    """
    text, note = plain(text), _note(note)
    read, _ = usable(text)
    try:
        with transaction.atomic():
            sent = (
                RigSave.objects.filter(author=author, key=key).select_related("file").first() if key else None
            )
            if sent is not None:
                return sent.file
            if Rig.objects.filter(slug=name).exists():
                raise NameTakenError(name, free_name(name))
            rig = Rig.objects.create(slug=name)
            version = rig.save_version(
                text, author, note=note, title=read.rig if read else name, about=read.about if read else ""
            )
            if key:
                RigSave.objects.create(file=rig, author=author, key=key, version=version)
    except IntegrityError:  # somebody took the name a moment ago
        raise NameTakenError(name, free_name(name)) from None
    return rig


def _note(note: str) -> str:
    note = " ".join(note.split())
    hidden = hidden_character(note)
    if hidden:
        raise SaveError(f"the note holds the hidden character {hidden}; write it without. Nothing was kept")
    if len(note) > LONGEST_NOTE:
        raise SaveError(f"the note has {len(note)} characters; at most {LONGEST_NOTE} fit. Nothing was kept")
    return note


def _sent_before(rig: Rig, author: Account, key: str, text: str) -> RigVersion | None:
    """The version that an earlier save with this key made."""
    if len(key) > LONGEST_KEY:
        raise SaveError("this save can't be told from others; open the page anew")
    found = RigSave.objects.filter(author=author, key=key).select_related("version").first() if key else None
    if found is None:
        return None
    if found.file_id != rig.pk or found.version.text != text:
        raise SaveError("this save was sent before with another text; open the page anew and save again")
    return found.version


def _outcome(version: RigVersion, current: RigVersion) -> Outcome:
    if not version.beside:
        return "saved"
    return "draft" if version.base == current.number else "beside"


def _root(rig: Rig, version: RigVersion) -> int:
    """The version that counted when a chain of drafts was begun."""
    while version.beside and 0 < version.base < version.number:
        version = rig.versions.get(number=version.base)
    return version.number
