"""`ropewright serve`: what it refuses before it listens."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from ropewright.cli import main
from tests.homes import own_home


@pytest.fixture(autouse=True)
def _own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROPEWRIGHT_HOME", str(tmp_path))


def test_other_machines_are_let_in_only_by_a_production(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["serve", "--host", "0.0.0.0"]) == 2
    assert "set ROPEWRIGHT_MODE=production" in capsys.readouterr().err


def test_a_production_serves_no_demo(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROPEWRIGHT_MODE", "production")
    monkeypatch.setenv("ROPEWRIGHT_HOSTS", "rigs.example.org")
    monkeypatch.setenv("ROPEWRIGHT_KEY", "q8Vb2Zr7Lx0Wc5Nf1Tj9Pm4Ds6Gh3Ky8Ub2Ea7Ri0Oc5Qv1Xw9")
    assert main(["serve", "--demo"]) == 2
    assert "production refuses it" in capsys.readouterr().err


def test_a_production_without_a_key_does_not_start(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROPEWRIGHT_MODE", "production")
    monkeypatch.setenv("ROPEWRIGHT_HOSTS", "rigs.example.org")
    assert main(["serve"]) == 2
    assert "ROPEWRIGHT_KEY is missing" in capsys.readouterr().err


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
        return port


@contextmanager
def _serving(home: Path, port: int, err: Path) -> Iterator[subprocess.Popen[str]]:
    words = [sys.executable, "-m", "ropewright.cli", "serve", "--home", str(home), "--port", str(port)]
    with err.open("w") as errors:
        server = subprocess.Popen(
            words,
            env=own_home(home),
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
        )
    try:
        yield server
    finally:
        if server.poll() is None:
            server.kill()
        server.communicate(timeout=30)


def test_a_taken_port_is_told_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert main(["serve", "--port", str(port), "--home", str(tmp_path / "home")]) == 2
    said = capsys.readouterr()
    assert said.err == (
        f"ropewright: port {port} of 127.0.0.1 is taken by another program; stop that one, or choose "
        "another --port\n"
    )
    assert said.out == ""


def test_a_server_stops_quietly_keeps_its_files_close_and_has_its_store_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    home, port, old = tmp_path / "home", _free_port(), os.umask(0o022)
    try:
        with _serving(home, port, tmp_path / "err") as server:
            assert server.stdout is not None
            assert server.stdout.readline().startswith("Serving on ")
            second = _serving(home, _free_port(), tmp_path / "second")
            with second as other:
                assert other.wait(timeout=60) == 2
            server.send_signal(signal.SIGTERM)
            assert server.wait(timeout=60) == 0
    finally:
        os.umask(old)
    assert (
        (tmp_path / "second")
        .read_text()
        .startswith(f"ropewright: a server runs on {home} already, at http://127.0.0.1:{port}/; ")
    )
    assert (tmp_path / "err").read_text() == ""
    assert home.stat().st_mode & 0o777 == 0o700
    files = [path for path in home.iterdir() if path.is_file()]
    assert {path.name for path in files} >= {"ropewright.sqlite3", "key"}
    assert [path.name for path in files if path.stat().st_mode & 0o077] == []


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"", "is empty (0 bytes)"), (b"no database at all" * 400, "is damaged (file is not a database)")],
)
def test_a_damaged_store_is_told_with_what_to_do(tmp_path: Path, content: bytes, said: str) -> None:
    (tmp_path / "ropewright.sqlite3").write_bytes(content)
    with _serving(tmp_path, _free_port(), tmp_path / "err") as server:
        assert server.wait(timeout=60) == 2
    told = (tmp_path / "err").read_text()
    assert told.startswith(
        f"ropewright: {tmp_path / 'ropewright.sqlite3'} {said}. Put the last backup in place"
    )
    assert (tmp_path / "ropewright.sqlite3").read_bytes() == content
