"""Putting a checked store in place of the one in the home folder, by renames alone.

A mark is written before the first rename and taken away after the last. Whoever finds one at a start finishes
what it says, or undoes it: at no moment can a store be taken for an empty one.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from ropewright.web.storing.members import DATABASE, StoreError

__all__ = ["LIVE", "MARK", "NEW", "half_done", "put_in_place", "settle", "sync_folder", "sync_tree"]

LIVE = "ropewright.sqlite3"
MARK = ".restore-under-way"
NEW = ".restoring-"
"""How the folders begin that a backup is unpacked into."""
_PAPERS = "documents"
_BESIDE = (f"{LIVE}-wal", f"{LIVE}-shm")


@dataclass(frozen=True, slots=True)
class _Swap:
    """What is put where: the home folder, the new store's folder and that of what was there."""

    home: Path
    new: Path
    aside: Path


def put_in_place(home: Path, new: Path) -> Path | None:
    """Swap the store of ``home`` for that in ``new``, a folder in it; give where the old one is set aside.

    Nothing is changed where it fails. Errors: OSError; StoreError where even the way back failed.
    """
    (new / _PAPERS).mkdir(exist_ok=True)  # what is no longer there tells that it has been put in place
    sync_tree(new)
    swap = _Swap(home, new, _free_name(home))
    _write_mark(swap)
    try:
        _forward(swap)
    except BaseException:
        _undo(swap)
        raise
    _done(swap)
    return swap.aside if swap.aside.is_dir() else None


def half_done(home: Path, *, swapping: bool = False) -> bool:
    """Whether a restore of this home folder is broken off (or runs); ``swapping``: while it renamed."""
    return (home / MARK).exists() or (not swapping and any(home.glob(f"{NEW}*")))


def settle(home: Path, say: Callable[[str], None]) -> None:
    """Finish a restore that was broken off, or undo it. The caller has the home folder to itself."""
    swap = _read_mark(home)
    if swap is not None:
        try:
            _forward(swap)
        except OSError as error:
            _undo(swap)
            say(f"A restore that was broken off could not be finished ({_words(error)}) and is undone")
        else:
            _done(swap)
            say("A restore that was broken off is finished")
            if swap.aside.is_dir():
                say(f"What was there before it is set aside in {swap.aside}")
    for left in home.glob(f"{NEW}*"):
        shutil.rmtree(left, ignore_errors=True)


def _forward(swap: _Swap) -> None:
    """Every rename that is left to do; the database last."""
    home, new, aside = swap.home, swap.new, swap.aside
    aside.mkdir(mode=0o700, exist_ok=True)
    if (new / _PAPERS).is_dir():
        _move(home / _PAPERS, aside / _PAPERS)
        _move(new / _PAPERS, home / _PAPERS)
    if (new / DATABASE).exists():
        for name in (*_BESIDE, LIVE):  # an old log beside a new database would be played into it
            _move(home / name, aside / name)
        sync_folder(aside)
        _move(new / DATABASE, home / LIVE)
    if not (home / LIVE).exists():
        raise FileNotFoundError(2, "the new database is gone", str(new / DATABASE))
    sync_folder(home)


def _undo(swap: _Swap) -> None:
    """Everything back to where it was. Errors: StoreError, and the mark stays for the next start."""
    home, new, aside = swap.home, swap.new, swap.aside
    try:
        new.mkdir(mode=0o700, exist_ok=True)
        if not (new / DATABASE).exists():
            _move(home / LIVE, new / DATABASE)
        for name in (LIVE, *_BESIDE):
            _move(aside / name, home / name)
        if not (new / _PAPERS).is_dir():
            _move(home / _PAPERS, new / _PAPERS)
        _move(aside / _PAPERS, home / _PAPERS)
        sync_folder(home)
        _done(swap)
    except OSError as error:
        raise StoreError(
            f"the restore failed half-way and could not be undone: {_words(error)}. Nothing is lost: the "
            f"store that was there lies in {home} and {aside}, and the next start of the server, of a backup "
            "or of a restore takes it up again. Mend that first (room on the disk, rights in the folder)"
        ) from error


def _done(swap: _Swap) -> None:
    with suppress(OSError):
        swap.aside.rmdir()  # where nothing had to be set aside
    (swap.home / MARK).unlink()
    sync_folder(swap.home)


def _move(source: Path, target: Path) -> None:
    """Rename what is there; never over something."""
    if not os.path.lexists(source):
        return
    if os.path.lexists(target):
        raise FileExistsError(17, "something is there already", str(target))
    source.rename(target)


def _free_name(home: Path) -> Path:
    stem = f"before-restore-{datetime.now(UTC):%Y%m%d-%H%M%S}"
    names = (home / (stem if k == 1 else f"{stem}-{k}") for k in range(1, 1000))
    return next(path for path in names if not path.exists())


def _write_mark(swap: _Swap) -> None:
    """Write the mark so that it is there whole or not at all."""
    part = swap.home / f"{MARK}.part"
    try:
        with part.open("w", encoding="utf-8") as file:
            json.dump({"new": swap.new.name, "aside": swap.aside.name}, file)
            file.flush()
            os.fsync(file.fileno())
        part.replace(swap.home / MARK)
    finally:
        part.unlink(missing_ok=True)
    sync_folder(swap.home)


def _read_mark(home: Path) -> _Swap | None:
    path = home / MARK
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        names = [str(told["new"]), str(told["aside"])]
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError):
        raise StoreError(
            f"{path} can't be read: a restore was broken off, and it says how to go on"
        ) from None
    if any(Path(name).name != name for name in names):
        raise StoreError(f"{path} names a folder outside {home}; it was not written by this program")
    return _Swap(home, home / names[0], home / names[1])


def sync_tree(folder: Path) -> None:
    """Have every file below a folder on the disk before anything depends on it."""
    for path in (*folder.rglob("*"), folder):
        if path.is_file() or path.is_dir():
            sync_folder(path)


def sync_folder(path: Path) -> None:
    """Have a folder's names, or a file's content, on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _words(error: OSError) -> str:
    return f"{error.filename}: {error.strerror}" if error.filename else str(error.strerror or error)
