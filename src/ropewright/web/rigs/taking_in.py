"""Taking in a rig file: read it, tell what is wrong with it, say what it is to be called."""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.rig import Fault, RigFileError
from ropewright.rig.textfile import read_text
from ropewright.web.rigs.names import name_of
from ropewright.web.workings.engine import read_for_team

__all__ = ["Read", "name_in_file", "read_in"]

ENDINGS = (".rig.yaml", ".rig.yml", ".yaml", ".yml", ".txt")


@dataclass(frozen=True, slots=True)
class Read:
    """A text that was taken in: what it is called inside, or everything wrong with it."""

    text: str
    title: str = ""
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
    return Read(text, rig.rig)


def name_in_file(file_name: str, title: str) -> str:
    """The name that a rig gets: its file's, without the ending; else one made from its title."""
    for ending in ENDINGS:
        if file_name.lower().endswith(ending):
            return name_of(file_name[: -len(ending)])
    return name_of(file_name or title)
