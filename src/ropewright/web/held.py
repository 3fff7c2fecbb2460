"""Who uses the home folder: servers and their work share it, a restore has it alone.

The lock ends with the process.
"""

from __future__ import annotations

import fcntl
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from ropewright.errors import RopewrightError

__all__ = [
    "LINGERS",
    "HeldError",
    "alone",
    "one_of_servers",
    "only_server",
    "server_runs",
    "serves",
    "together",
    "work_lock",
]

LINGERS = 25.0
"""How long [s] idle work may outlive its server, and somewhat more."""
_FILE, _SERVER, _WORK = ".serving", ".server", "work-"
_MOMENT = 0.5
"""How long [s] a lock is tried that somebody may hold just to see whether it is free."""
_GLANCE = 0.05
_serves = False


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
    global _serves
    handle = _open(home, _SERVER)
    if not _taken(handle, _MOMENT):
        where = _told(handle)
        os.close(handle)
        found = f"a server runs on {home} already{where}"
        raise HeldError(f"{found}; use that one, stop it first, or name another folder with --home")
    os.ftruncate(handle, 0)
    os.pwrite(handle, address.encode(), 0)
    _serves = True


def one_of_servers(home: Path) -> None:
    """Be one of several servers of a store that takes them, until this process and its children end."""
    global _serves
    _serves = _taken(_open(home, _SERVER), _MOMENT, fcntl.LOCK_SH)


def serves() -> bool:
    """Whether this process is a server's, so that others see by `server_runs` that it is there."""
    return _serves


def server_runs(home: Path) -> bool:
    """Whether any server of a home folder runs."""
    handle = _open(home, _SERVER)
    try:
        return not _taken(handle, _GLANCE)
    finally:
        os.close(handle)


def work_lock(home: Path, lane: str) -> int | None:
    """Be the one process that works in a lane; None where another one is. It ends with the process."""
    handle = _open(home, f"{_WORK}{lane}.lock")
    if not _taken(handle):
        os.close(handle)
        return None
    with suppress(OSError):  # a full disk: it only tells a restore which process it waits for
        os.ftruncate(handle, 0)
        os.pwrite(handle, str(os.getpid()).encode(), 0)
    return handle


@contextmanager
def alone(home: Path, wait: float = 0.0, say: Callable[[str], None] = lambda _text: None) -> Iterator[None]:
    """Have the home folder to oneself. Errors: HeldError, which says who uses it.

    wait: how long [s] to wait for work that outlives its server for a moment; a server is never waited for.
    say: told what is waited for.
    """
    handle, until, told = _open(home), time.monotonic() + wait, False
    try:
        while not _taken(handle):
            if server_runs(home):
                raise HeldError(f"a server runs on {home}{_where(home)}; stop the server first")
            if time.monotonic() >= until:
                raise HeldError(f"{_who_uses(home)}; wait for its end, or end it, and try again")
            if not told:
                say(f"Waits up to {wait:.0f} seconds: {_who_uses(home)}")
            told = True
            time.sleep(0.2)
        yield
    finally:
        os.close(handle)


def _who_uses(home: Path) -> str:
    """Who but a server uses the home folder."""
    working = [
        f"{file.name.removeprefix(_WORK).removesuffix('.lock')} (process {pid})"
        for file in sorted(home.glob(f"{_WORK}*.lock"))
        if (pid := _holder(home, file.name))
    ]
    if working:
        return f"work that a server began on {home} has not ended yet: {', '.join(working)}"
    return f"{home} is used by a restore, or by a server that starts or stops"


def _holder(home: Path, name: str) -> str:
    """Which process holds a file; "" where none does."""
    handle = _open(home, name)
    try:
        return "" if _taken(handle) else os.read(handle, 20).decode("ascii", "replace").strip() or "?"
    finally:
        os.close(handle)


def _where(home: Path) -> str:
    handle = _open(home, _SERVER)
    try:
        return _told(handle)
    finally:
        os.close(handle)


def _told(handle: int) -> str:
    """At which address the server is that holds a file."""
    where = os.read(handle, 200).decode("utf-8", "replace").strip()
    return f", at {where}" if where else ""


def _taken(handle: int, wait: float = 0.0, how: int = fcntl.LOCK_EX) -> bool:
    until = time.monotonic() + wait
    while True:
        try:
            fcntl.flock(handle, how | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() >= until:
                return False
            time.sleep(0.05)
        else:
            return True


def _open(home: Path, name: str = _FILE) -> int:
    home.mkdir(mode=0o700, parents=True, exist_ok=True)
    return os.open(home / name, os.O_RDWR | os.O_CREAT, 0o600)
