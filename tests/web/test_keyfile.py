"""The key file: whole or not there, and one for all who start at once."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from ropewright.web.keyfile import kept_key, made_key


def test_many_who_start_at_once_get_one_key(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as several:
        keys = set(several.map(lambda _k: made_key(tmp_path / "home" / "key", 50), range(24)))
    assert len(keys) == 1
    assert kept_key(tmp_path / "home" / "key", 50) in keys
    assert [path.name for path in (tmp_path / "home").iterdir()] == ["key"]


def test_a_key_that_can_not_be_written_leaves_no_half_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        made_key(tmp_path / "key", 50)
    assert not list(tmp_path.iterdir())


def test_a_file_system_without_links_gets_a_key_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(_from: Path, _to: Path) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", none)
    assert made_key(tmp_path / "key", 50) == kept_key(tmp_path / "key", 50)
    assert (tmp_path / "key").stat().st_mode & 0o077 == 0
