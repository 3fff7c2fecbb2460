"""A result is written whole or not at all."""

import os
import socket
import stat
from pathlib import Path

import pytest

from ropewright.files import WriteError, kind_of, write_whole


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
    with pytest.raises(
        WriteError, match=r"rig\.json: can't be written: this is a folder; name an ordinary file"
    ):
        write_whole(tmp_path / "rig.json", b"x")
    assert [entry.name for entry in tmp_path.iterdir()] == ["rig.json"]


def test_a_pipe_or_a_socket_in_the_way_stays_what_it_is(tmp_path: Path) -> None:
    pipe, end, link = tmp_path / "pipe", tmp_path / "socket", tmp_path / "link"
    os.mkfifo(pipe)
    link.symlink_to(pipe)
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(end))
        for path, what in ((pipe, "a pipe"), (link, "a pipe"), (end, "a socket")):
            with pytest.raises(WriteError, match=f"can't be written: this is {what}; name an ordinary file"):
                write_whole(path, b"x")
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert stat.S_ISSOCK(end.stat().st_mode)
    assert link.is_symlink()
    assert len(list(tmp_path.iterdir())) == 3


def test_a_device_is_told_apart_from_an_ordinary_file() -> None:
    assert kind_of(stat.S_IFCHR | 0o666) == "a device"
    assert kind_of(stat.S_IFBLK | 0o660) == "a device"
    assert kind_of(stat.S_IFREG | 0o644) is None


@pytest.mark.parametrize("exists", [True, False])
def test_a_link_stays_and_its_file_is_written(tmp_path: Path, exists: bool) -> None:
    (tmp_path / "there").mkdir()
    target, link = tmp_path / "there" / "rig.json", tmp_path / "link"
    if exists:
        target.write_bytes(b"old")
        target.chmod(0o600)
    link.symlink_to(Path("there") / "rig.json")
    write_whole(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"
    assert not exists or stat.S_IMODE(target.stat().st_mode) == 0o600
    assert [entry.name for entry in target.parent.iterdir()] == ["rig.json"]


def test_a_link_to_itself_is_told(tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(link)
    with pytest.raises(WriteError, match="can't be written: Too many levels"):
        write_whole(link, b"x")
    assert link.is_symlink()


@pytest.mark.parametrize("name", ["none/rig.json", "a\0b", "x" * 300])
def test_names_that_can_not_be_used(tmp_path: Path, name: str) -> None:
    with pytest.raises(WriteError, match="can't be written") as error:
        write_whole(tmp_path / name, b"x")
    assert "\n" not in str(error.value)
    assert list(tmp_path.iterdir()) == []
