"""Who uses the home folder: servers and their work share it, a restore has it alone.

The lock ends with the process.
"""

from __future__ import annotations

import fcntl
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ropewright.errors import RopewrightError

__all__ = ["LINGERS", "HeldError", "alone", "only_server", "together"]

LINGERS = 25.0
"""How long [s] idle work may outlive its server, and somewhat more."""
_FILE, _SERVER = ".serving", ".server"


class HeldError(RopewrightError):
    """The home folder is used by somebody who can't share it."""


def together(home: Path) -> None:
    """Share the home folder with servers and their work until this process and its children end."""
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
def alone(home: Path, wait: float = 0.0) -> Iterator[None]:
    """Have the home folder to oneself. Errors: HeldError where somebody else uses it.

    wait: how long [s] to wait for work that outlives its server for a moment; a server is never waited for.
    """
    handle, until = _open(home), time.monotonic() + wait
    try:
        while not _taken(handle):
            if time.monotonic() >= until or _server_runs(home):
                raise HeldError(
                    f"a server runs on {home}, or work that it began, or a restore; stop the server first, "
                    "or wait for the end of the others"
                )
            time.sleep(0.2)
        yield
    finally:
        os.close(handle)


def _taken(handle: int) -> bool:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _server_runs(home: Path) -> bool:
    handle = _open(home, _SERVER)
    try:
        return not _taken(handle)
    finally:
        os.close(handle)


def _open(home: Path, name: str = _FILE) -> int:
    home.mkdir(mode=0o700, parents=True, exist_ok=True)
    return os.open(home / name, os.O_RDWR | os.O_CREAT, 0o600)
