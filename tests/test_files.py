"""A result is written whole or not at all."""

import os
import stat
from pathlib import Path

import pytest

from ropewright.files import WriteError, write_whole


def test_new_and_replaced(tmp_path: Path) -> None:
    path = tmp_path / "rig.json"
    write_whole(path, b"one")
    write_whole(path, b"two")
    assert path.read_bytes() == b"two"
    assert [entry.name for entry in tmp_path.iterdir()] == ["rig.json"]


def test_rights_are_those_of_an_ordinary_new_file_or_of_the_old_one(tmp_path: Path) -> None:
    ordinary, path = tmp_path / "ordinary", tmp_path / "ours"
    ordinary.touch()
    write_whole(path, b"x")
    assert stat.S_IMODE(path.stat().st_mode) == stat.S_IMODE(ordinary.stat().st_mode)
    path.chmod(0o600)
    write_whole(path, b"y")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_full_disk_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "rig.json"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(WriteError) as error:
        write_whole(path, b"new")
    assert str(error.value) == f"{path}: can't be written: No space left on device"
    assert path.read_bytes() == b"old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["rig.json"]


def test_a_folder_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "rig.json").mkdir()
    with pytest.raises(WriteError, match=r"rig\.json: can't be written: Is a directory"):
        write_whole(tmp_path / "rig.json", b"x")
    assert [entry.name for entry in tmp_path.iterdir()] == ["rig.json"]


@pytest.mark.parametrize("name", ["none/rig.json", "a\0b", "x" * 300])
def test_names_that_can_not_be_used(tmp_path: Path, name: str) -> None:
    with pytest.raises(WriteError, match="can't be written") as error:
        write_whole(tmp_path / name, b"x")
    assert "\n" not in str(error.value)
    assert list(tmp_path.iterdir()) == []
