"""Saving the text of a file: what becomes a version, which version counts then, and what is said of it.

A text that can't be used is kept as a draft: beside the version that counts, never in its place, because
somebody may be standing at the tower with that one. What two people save at once is all kept; the later one
stands beside and waits for somebody to choose. What a room keeps so is told by its `Shelf`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from django.db import IntegrityError, transaction

from ropewright.errors import RopewrightError
from ropewright.rig import Fault
from ropewright.rig.yamltext import MOST_BYTES, hidden_character
from ropewright.web.accounts.models import Account
from ropewright.web.documents.names import shown_name
from ropewright.web.versions.models import FileVersion, VersionedFile

__all__ = [
    "LONGEST_KEY",
    "LONGEST_NOTE",
    "Heads",
    "NameTakenError",
    "SaveError",
    "Saved",
    "Shelf",
    "begin",
    "note_of_file",
    "plain",
    "save",
    "sentence",
]

LONGEST_NOTE = 200
LONGEST_KEY = 64
Outcome = Literal["saved", "draft", "beside", "unchanged"]


class SaveError(RopewrightError):
    """A text that can't be kept; the words say why and what would be right."""


class NameTakenError(SaveError):
    """A name that another file of the shelf has. `free` is the nearest that none has."""

    def __init__(self, noun: str, name: str, free: str) -> None:
        self.free = free
        super().__init__(f"a {noun} is called `{name}` already; `{free}` is free")


@dataclass(frozen=True, slots=True)
class Heads:
    """What lists show of a text, and its faults; ``fields`` are columns of its file that follow from it."""

    title: str = ""
    about: str = ""
    faults: tuple[Fault, ...] = ()
    fields: Mapping[str, Any] = field(default_factory=dict)

    @property
    def usable(self) -> bool:
        """Whether the text can be used."""
        return not self.faults


@dataclass(frozen=True, slots=True)
class Shelf:
    """What a room keeps: its files, its saves as pages sent them (with file, author, key and version), what
    one is called and how its text starts, how a text is read, and how a free name is made.
    """

    files: type[VersionedFile]
    saves: Any
    noun: str
    starts: str
    read: Callable[[str], Heads]
    free_name: Callable[[str], str]


@dataclass(frozen=True, slots=True)
class Saved:
    """What came of a save: the version that holds the text, the one that counts now, the text's faults."""

    outcome: Outcome
    version: Any
    current: Any
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


def plain(text: str, noun: str, starts: str) -> str:
    """A text as it is kept: line breaks of one kind. Errors: SaveError for what no store or reader takes."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > MOST_BYTES:
        raise SaveError(
            f"the text has {size:,} bytes; a {noun} file holds at most {MOST_BYTES:,}. Nothing was kept"
        )
    if "\0" in text:
        raise SaveError(
            f"the text holds zero bytes, which no {noun} file may; take them out. Nothing was kept"
        )
    if not text.strip():
        raise SaveError(f"the text is empty; a {noun} file starts with {starts}. Nothing was kept")
    return text


def save(
    shelf: Shelf,
    file: VersionedFile,
    text: str,
    author: Account,
    *,
    base: int,
    note: str = "",
    key: str = "",
) -> Saved:
    """Keep a text as the next version of a file. Errors: SaveError.

    base: the version that it was written from. key: made by the page for this save; the same key again
    gives the same answer and no second version.
    """
    text, note = plain(text, shelf.noun, shelf.starts), _note(note)
    read = shelf.read(text)
    with transaction.atomic():
        file = shelf.files._default_manager.select_for_update().get(pk=file.pk)
        before = _sent_before(shelf, file, author, key, text)
        current = file.current
        if before is not None:
            return Saved(_outcome(before, current), before, current, read.faults)
        began = file.versions.filter(number=base).first()
        if began is None:
            raise SaveError(
                f"version {base} of this {shelf.noun} does not exist; open the {shelf.noun} again"
            )
        for same in (began, current):
            if same.text == text:
                return Saved("unchanged", same, current, read.faults)
        version = file.save_version(
            text,
            author,
            base=_root(file, began),
            note=note,
            title=read.title,
            about=read.about if read.usable else file.about,
            draft=not read.usable and shelf.read(current.text).usable,
        )
        if not version.beside:
            _follow(shelf, file, read)
        if key:
            shelf.saves.objects.create(file=file, author=author, key=key, version=version)
        now = current if version.beside else version
        return Saved(_outcome(version, current), version, now, read.faults)


def _follow(shelf: Shelf, file: VersionedFile, read: Heads) -> None:
    """Let the file's own columns say what its current version says."""
    if read.usable and read.fields:
        shelf.files._default_manager.filter(pk=file.pk).update(**read.fields)


def begin(
    shelf: Shelf, name: str, text: str, author: Account, *, note: str = "", key: str = ""
) -> VersionedFile:
    """Make a file with its first version. Errors: NameTakenError, SaveError.

    A key that was sent before gives the file that was made then.
    """
    text, note = plain(text, shelf.noun, shelf.starts), _note(note)
    read = shelf.read(text)
    try:
        with transaction.atomic():
            sent = _sent(shelf, author, key)
            if sent is not None:
                made: VersionedFile = sent.file
                return made
            if shelf.files._default_manager.filter(slug=name).exists():
                raise NameTakenError(shelf.noun, name, shelf.free_name(name))
            file = shelf.files._default_manager.create(slug=name, **read.fields)
            version = file.save_version(text, author, note=note, title=read.title or name, about=read.about)
            if key:
                shelf.saves.objects.create(file=file, author=author, key=key, version=version)
    except IntegrityError:  # somebody took the name a moment ago
        raise NameTakenError(shelf.noun, name, shelf.free_name(name)) from None
    return file


def note_of_file(name: str) -> str:
    """The note of a text that was taken in, from a file where ``name`` says which."""
    shown = " ".join(shown_name(name).split())
    return f"taken in from {shown}"[:LONGEST_NOTE] if shown else "taken in as a text"


def _note(note: str) -> str:
    note = " ".join(note.split())
    hidden = hidden_character(note)
    if hidden:
        raise SaveError(f"the note holds the hidden character {hidden}; write it without. Nothing was kept")
    if len(note) > LONGEST_NOTE:
        raise SaveError(f"the note has {len(note)} characters; at most {LONGEST_NOTE} fit. Nothing was kept")
    return note


def _sent(shelf: Shelf, author: Account, key: str) -> Any:
    """An earlier save with this key."""
    if not key:
        return None
    return shelf.saves.objects.filter(author=author, key=key).select_related("version", "file").first()


def _sent_before(shelf: Shelf, file: VersionedFile, author: Account, key: str, text: str) -> Any:
    """The version that an earlier save with this key made."""
    if len(key) > LONGEST_KEY or "\0" in key:
        raise SaveError("this save can't be told from others; open the page anew")
    found = _sent(shelf, author, key)
    if found is None:
        return None
    if found.file_id != file.pk or found.version.text != text:
        raise SaveError("this save was sent before with another text; open the page anew and save again")
    return found.version


def _outcome(version: FileVersion, current: FileVersion) -> Outcome:
    if not version.beside:
        return "saved"
    return "draft" if version.base == current.number else "beside"


def _root(file: VersionedFile, version: FileVersion) -> int:
    """The version that counted when a chain of drafts was begun."""
    while version.beside and 0 < version.base < version.number:
        version = file.versions.get(number=version.base)
    return version.number


def sentence(error: Exception) -> str:
    """An error's words as a sentence."""
    words = str(error)
    return f"{words[:1].upper()}{words[1:]}."
