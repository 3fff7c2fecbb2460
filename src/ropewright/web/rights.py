"""Who on this machine may read the store: its owner alone."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

__all__ = ["close_to_others", "keep_new_files_close"]

_OTHERS = 0o077


def keep_new_files_close() -> None:
    """Let every file and folder that this process makes from here on be its owner's alone."""
    os.umask(_OTHERS)


def close_to_others(home: Path, say: Callable[[str], None]) -> None:
    """Take the store's own files from everybody but their owner, and say where the folder stays open."""
    for path in _ours(home):
        with suppress(OSError):  # another account's file, said below
            mode = path.stat().st_mode & 0o777
            if mode & _OTHERS:
                path.chmod(mode & ~_OTHERS)
        if path.exists() and path.stat().st_mode & _OTHERS:
            say(f"{path} can be read by others on this machine, and its rights can't be changed from here")
    mode = home.stat().st_mode & 0o777
    if mode & _OTHERS:
        say(
            f"{home} is open to others on this machine (rights {mode:o}): they see what is in it, though "
            f"they can't read the store's own files. 'chmod 700 {home}' closes it"
        )


def _ours(home: Path) -> Iterator[Path]:
    for name in (
        "ropewright.sqlite3",
        "ropewright.sqlite3-wal",
        "ropewright.sqlite3-shm",
        "key",
        "documents",
    ):
        if (home / name).exists():
            yield home / name
    yield from home.glob("before-restore-*")
