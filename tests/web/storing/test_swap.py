"""Swapping one store for another: whatever breaks it off, one of the two is there whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.web.storing import StoreError
from ropewright.web.storing.swap import LIVE, MARK, half_done, put_in_place, settle

OLD = {LIVE: "old", f"{LIVE}-wal": "old log", "documents/a": "old paper", "key": "k"}
NEW = {LIVE: "new", "documents/b": "new paper", "key": "k"}
MOVES = 5
"""Renames in a swap of a store with documents, a log and a database (`-shm` is not there)."""


class _KilledError(BaseException):
    """Stands for a process that ends: nothing of ours may run after it."""


def _store(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    return folder


@pytest.fixture
def home(tmp_path: Path) -> Path:
    home = _store(tmp_path / "home", OLD)
    _store(home / ".restoring-x", {"database.sqlite3": "new", "documents/b": "new paper"})
    return home


def _held(home: Path) -> dict[str, str]:
    found = [p for p in home.rglob("*") if p.is_file()]
    texts = {str(p.relative_to(home)): p.read_text() for p in found}
    return {name: text for name, text in texts.items() if not name.startswith("before-restore")}


def _stop_at(
    monkeypatch: pytest.MonkeyPatch, at: int, error: BaseException, *, ever_after: bool
) -> list[int]:
    """Let the ``at``-th rename fail, and those after it too where the process is gone."""
    rename, seen = Path.rename, [0]

    def failing(path: Path, target: Path) -> Path:
        seen[0] += 1
        if seen[0] == at or (ever_after and seen[0] > at):
            raise error
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", failing)
    return seen


def _killed_at(monkeypatch: pytest.MonkeyPatch, home: Path, at: int) -> None:
    with monkeypatch.context() as patch:
        _stop_at(patch, at, _KilledError(), ever_after=True)
        patch.setattr("ropewright.web.storing.swap._undo", lambda _swap: None)
        with pytest.raises(_KilledError):
            put_in_place(home, home / ".restoring-x")


def test_a_swap_leaves_the_new_store_and_the_old_one_aside(home: Path) -> None:
    aside = put_in_place(home, home / ".restoring-x")
    settle(home, print)
    assert _held(home) == NEW
    assert aside is not None
    assert _held(aside) == {name: text for name, text in OLD.items() if name != "key"}
    assert not half_done(home)


def test_a_store_in_an_empty_home_sets_nothing_aside(tmp_path: Path) -> None:
    _store(tmp_path / ".restoring-x", {"database.sqlite3": "new"})
    assert put_in_place(tmp_path, tmp_path / ".restoring-x") is None
    assert (tmp_path / LIVE).read_text() == "new"
    assert not list(tmp_path.glob("before-*"))


@pytest.mark.parametrize("at", range(1, MOVES + 1))
def test_a_rename_that_fails_changes_nothing(home: Path, monkeypatch: pytest.MonkeyPatch, at: int) -> None:
    full = OSError(28, "No space left on device")
    with monkeypatch.context() as patch:
        seen = _stop_at(patch, at, full, ever_after=False)
        with pytest.raises(OSError, match="No space left"):
            put_in_place(home, home / ".restoring-x")
    assert seen[0] >= at
    assert (home / ".restoring-x" / "database.sqlite3").read_text() == "new"
    settle(home, print)
    assert _held(home) == OLD
    assert not list(home.glob("before-*"))


@pytest.mark.parametrize("at", range(1, MOVES + 1))
def test_a_kill_at_any_rename_is_taken_up_at_the_next_start(
    home: Path, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    _killed_at(monkeypatch, home, at)
    assert half_done(home, swapping=True)
    said: list[str] = []
    settle(home, said.append)
    assert said[0] == "A restore that was broken off is finished"
    assert _held(home) == NEW
    assert not half_done(home)


@pytest.mark.parametrize("at", range(1, MOVES + 1))
def test_what_can_be_neither_finished_nor_undone_now_loses_nothing(
    home: Path, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    with monkeypatch.context() as patch:
        _stop_at(patch, at, PermissionError(13, "Permission denied", "x"), ever_after=True)
        with pytest.raises((StoreError, PermissionError)):
            put_in_place(home, home / ".restoring-x")
    settle(home, print)
    held = _held(home)
    assert held == (NEW if held[LIVE] == "new" else OLD)


def test_what_can_not_be_finished_at_the_next_start_is_undone(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _killed_at(monkeypatch, home, MOVES)
    (home / ".restoring-x" / "database.sqlite3").unlink()  # somebody tidied up
    said: list[str] = []
    settle(home, said.append)
    assert "is undone" in said[0]
    assert _held(home)[LIVE] == "old"
    assert _held(home)["documents/a"] == "old paper"


def test_a_mark_that_leads_elsewhere_is_not_followed(home: Path) -> None:
    (home / MARK).write_text('{"new": "../x", "aside": "y"}')
    with pytest.raises(StoreError, match="names a folder outside"):
        settle(home, print)
