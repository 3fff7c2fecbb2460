"""Who uses the home folder: servers share it, a restore has it alone. The lock ends with the process."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ropewright.errors import RopewrightError

__all__ = ["HeldError", "alone", "only_server", "together"]

_FILE, _SERVER = ".serving", ".server"


class HeldError(RopewrightError):
    """The home folder is used by somebody who can't share it."""


def together(home: Path) -> None:
    """Share the home folder with other servers until this process and its children end."""
    handle = _open(home)
    try:
        fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        raise HeldError(f"{home} is being restored; wait until that has ended") from None
    os.set_inheritable(handle, True)


def only_server(home: Path, address: str) -> None:
    """Be the one server of an SQLite store until this process and its children end.

    Two would each work out the same results, and clear away each other's static files. Errors: HeldError.
    """
    handle = _open(home, _SERVER)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        where = os.read(handle, 200).decode("utf-8", "replace").strip()
        os.close(handle)
        found = f"a server runs on {home} already{f', at {where}' if where else ''}"
        raise HeldError(f"{found}; use that one, stop it first, or name another folder with --home") from None
    os.ftruncate(handle, 0)
    os.pwrite(handle, address.encode(), 0)


@contextmanager
def alone(home: Path) -> Iterator[None]:
    """Have the home folder to oneself; HeldError where somebody else uses it."""
    handle = _open(home)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise HeldError(
                f"a server runs on {home}, or a restore does; stop it first, or wait for its end"
            ) from None
        yield
    finally:
        os.close(handle)


def _open(home: Path, name: str = _FILE) -> int:
    home.mkdir(mode=0o700, parents=True, exist_ok=True)
    return os.open(home / name, os.O_RDWR | os.O_CREAT, 0o600)
