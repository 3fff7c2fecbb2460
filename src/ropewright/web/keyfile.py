"""The key that signs sessions, kept in the home folder: there whole or not at all, one for all processes."""

from __future__ import annotations

import os
import secrets
import tempfile
from pathlib import Path

__all__ = ["KeyFileError", "kept_key", "made_key"]


class KeyFileError(ValueError):
    """A key file that can't be used, by its name, with what to do."""


def kept_key(path: Path, least: int) -> str | None:
    """The key of a file; None where there is none. Errors: KeyFileError."""
    try:
        found = path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise KeyFileError(f"{path} can't be read: {error.strerror}. It holds the key of sessions") from None
    text = found.decode("ascii", "replace").strip()
    if not text.isascii() or not text.isprintable() or len(text) < least or len(set(text)) < 10:
        what = (
            f"{len(text)} characters" if text.isascii() and text.isprintable() else "bytes that are no text"
        )
        raise KeyFileError(
            f"{path} is damaged: it holds {what}, where {least} random characters or more sign the sessions. "
            "Delete that file: the next start makes a new one, and everybody signs in again"
        )
    return text


def made_key(path: Path, least: int) -> str:
    """Make a key where there is none and give it, or that of a process that was quicker."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".key-", dir=path.parent)  # for its owner alone
    part = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secrets.token_urlsafe(64))
            file.flush()
            os.fsync(file.fileno())
        _put(part, path)
    finally:
        part.unlink(missing_ok=True)
    found = kept_key(path, least)
    assert found is not None
    return found


def _put(part: Path, path: Path) -> None:
    """Give a whole file its name, unless somebody else did."""
    try:
        os.link(part, path)
    except FileExistsError:
        pass
    except OSError:  # a file system without links
        if not path.exists():
            part.rename(path)
