"""The process beside the server ends with its server, and no trouble of the store loses what it works out."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from django.db import OperationalError

from ropewright.web.held import HeldError, alone
from ropewright.web.workings import background, until_written, worker
from ropewright.web.workings.background import TASKS, Task, ask
from ropewright.web.workings.models import Working
from ropewright.web.workings.worker import run_waiting

KEY = "a" * 64
_ASK = f"""
import django; django.setup()
from ropewright.web.workings.models import Working
Working.objects.create(key={KEY!r}, kind="procedure", state="running", asked={{}})
"""
_SERVER = """
import os, sys; from pathlib import Path
from ropewright.web.held import only_server, together
home = Path(os.environ["ROPEWRIGHT_HOME"]); together(home); only_server(home, "http://here/")
print("held", flush=True); sys.stdin.read()
"""
_WORKER = """
import sys, django; django.setup()
from tests.web.workings import test_ending as own
from ropewright.web.workings import background, worker
task = background.Task(f"{own.__name__}:" + sys.argv[1], "short")
background.TASKS = {**background.TASKS, "procedure": task}
sys.exit(worker.main("short", served=True))
"""


def endless(asked: dict[str, int], tell: Callable[..., None]) -> dict[str, int]:
    while True:
        try:
            tell(1, 2, "for ever")
            time.sleep(0.1)
        except Exception:
            pass


def stubborn(asked: dict[str, int], tell: Callable[..., None]) -> dict[str, int]:
    """Stands for one long step of a library, which no signal breaks off."""
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGTERM})
    time.sleep(500)
    return {}


def short(asked: dict[str, int], tell: Callable[..., None]) -> dict[str, int]:
    tell(1, 2, "nearly")
    time.sleep(3)
    tell(2, 2, "there")
    return {"found": 4}


@pytest.fixture
def home(ready_home: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("ROPEWRIGHT_DATABASE", raising=False)
    monkeypatch.setenv("ROPEWRIGHT_HOME", str(ready_home))
    monkeypatch.setenv("DJANGO_SETTINGS_MODULE", "ropewright.web.settings")
    subprocess.run([sys.executable, "-c", _ASK], check=True, capture_output=True, timeout=120)
    return ready_home


@contextmanager
def _running(words: str, *more: str) -> Iterator[subprocess.Popen[str]]:
    root = Path(__file__).parents[3]
    process = subprocess.Popen(
        [sys.executable, "-c", words, *more],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=root,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(root / "src"), str(root)])},
    )
    try:
        yield process
    finally:
        process.kill()
        process.communicate(timeout=20)


def _row(home: Path, columns: str) -> tuple[object, ...]:
    with closing(sqlite3.connect(home / "ropewright.sqlite3", timeout=10)) as store:
        found: tuple[object, ...] = store.execute(
            f"SELECT {columns} FROM workings_working WHERE key = ?", [KEY]
        ).fetchone()
    return found


def _until(true: Callable[[], bool], seconds: float = 25.0) -> None:
    until = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < until
        time.sleep(0.1)


@pytest.mark.parametrize("work", ["endless", "stubborn"])
def test_a_worker_ends_with_its_server_and_gives_its_work_back(home: Path, work: str) -> None:
    with _running(_SERVER) as server, _running(_WORKER, work) as beside:
        assert server.stdout is not None
        server.stdout.readline()
        _until(lambda: _row(home, "claim")[0] != "")
        with (
            pytest.raises(HeldError, match=r"a server runs on .*, at http://here/; stop the server"),
            alone(home),
        ):
            pass
        server.kill()
        server.wait(timeout=20)
        said = list[str]()
        with alone(home, 20.0, said.append):
            assert beside.wait(timeout=5) == 0
        assert [f"short (process {beside.pid})" in line for line in said] == [True]
    assert _row(home, "state, claim, tries, begun, words") == ("running", "", 0, None, "")


def test_a_store_that_is_locked_for_long_loses_no_result_and_no_try(home: Path) -> None:
    with _running(_SERVER) as server, _running(_WORKER, "short") as beside:
        assert server.stdout is not None
        server.stdout.readline()
        _until(lambda: _row(home, "claim")[0] != "")
        with closing(sqlite3.connect(home / "ropewright.sqlite3", isolation_level=None, timeout=10)) as store:
            store.execute("BEGIN IMMEDIATE")
            time.sleep(9)
            store.execute("ROLLBACK")
        assert beside.poll() is None
        _until(lambda: _row(home, "state")[0] != "running")
    assert _row(home, "state, data, tries, words") == ("done", '{"found": 4}', 1, "")


def test_a_worker_that_no_server_began_stays_without_one(home: Path) -> None:
    with _running(_WORKER.replace("served=True", ""), "endless") as beside:
        _until(lambda: _row(home, "claim")[0] != "")
        time.sleep(3)
        assert beside.poll() is None
        with (
            pytest.raises(HeldError, match=rf"has not ended yet: short \(process {beside.pid}\)"),
            alone(home),
        ):
            pass
        beside.terminate()
        assert beside.wait(timeout=10) == 0
    assert _row(home, "claim, tries") == ("", 0)


def locked(asked: dict[str, int], tell: Callable[..., None]) -> dict[str, int]:
    raise OperationalError("database is locked")


@pytest.mark.django_db
def test_a_fault_of_the_store_is_none_of_the_work(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(background, "TASKS", {**TASKS, "locked": Task(f"{__name__}:locked", "short")})
    monkeypatch.setattr(until_written, "_PAUSE", 0.0)
    monkeypatch.setattr(worker, "MOST_STORE_FAULTS", 5)
    row = ask("locked", [1], {})
    for _ in range(4):
        assert run_waiting("short")
        row.refresh_from_db()
        assert (row.state, row.claim, row.tries) == (Working.State.RUNNING, "", 0)
    assert run_waiting("short")
    row.refresh_from_db()
    assert (row.state, row.words) == (
        Working.State.FAILED,
        "the store could not be used while it was worked out",
    )
