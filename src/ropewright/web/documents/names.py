"""What a file that somebody sent is called: as it is shown, and when it is given out again."""

from __future__ import annotations

import re
import unicodedata

from ropewright.rig.yamltext import hidden_character

__all__ = ["LONGEST_NAME", "clean_name", "extension_of", "shown_name"]

LONGEST_NAME = 100
_NOT_IN_NAMES = re.compile(r'["<>:|?*;%&$`\'{}\\/^]+')
_TAKEN = frozenset({"con", "prn", "aux", "nul", *(f"{p}{k}" for p in ("com", "lpt") for k in range(1, 10))})


def shown_name(name: str) -> str:
    """The name after its folders, of visible characters alone."""
    plain = unicodedata.normalize("NFC", name)
    plain = "".join(" " if c in "\t\r\n" else c for c in plain)
    plain = "".join(c for c in plain if unicodedata.category(c)[0] != "C" and not hidden_character(c))
    return re.split(r"[\\/]", plain)[-1].strip()


def extension_of(name: str) -> str:
    """The extension in small letters, without its dot; empty where there is none."""
    tail = shown_name(name)
    return tail.rpartition(".")[2].lower() if "." in tail else ""


def clean_name(name: str, extension: str) -> str:
    """A name without folders, signs that mean something to a program, and marks that turn text round.

    extension: the one that goes with what the file is; it replaces the sender's.
    """
    stem = shown_name(name)
    stem = stem.rpartition(".")[0] if "." in stem else stem
    stem = " ".join(_NOT_IN_NAMES.sub("-", stem).split()).strip(" .-")
    if not stem:
        stem = "document"
    if stem.split(".")[0].lower() in _TAKEN:
        stem = f"_{stem}"
    return f"{stem[: LONGEST_NAME - len(extension) - 1].rstrip(' .')}.{extension}"
