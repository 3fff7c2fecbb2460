"""The store's files are their owner's alone."""

from __future__ import annotations

from pathlib import Path

from ropewright.web.rights import close_to_others


def test_what_others_could_read_is_closed_to_them_and_an_open_folder_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    for name in ("ropewright.sqlite3", "ropewright.sqlite3-wal", "key"):
        (tmp_path / name).write_text("x")
        (tmp_path / name).chmod(0o644)
    (tmp_path / "documents").mkdir(mode=0o755)
    said: list[str] = []
    close_to_others(tmp_path, said.append)
    assert all(path.stat().st_mode & 0o077 == 0 for path in tmp_path.iterdir())
    assert len(said) == 1
    assert said[0].startswith(f"{tmp_path} is open to others on this machine (rights 755)")
    assert tmp_path.stat().st_mode & 0o777 == 0o755


def test_a_closed_folder_is_not_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o700)
    said: list[str] = []
    close_to_others(tmp_path, said.append)
    assert not said
