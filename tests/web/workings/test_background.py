"""What is asked for is worked out once, and taken up again where the process that had it ended."""

from __future__ import annotations

import json
import socket
import sqlite3
import subprocess
import sys
import time
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from ropewright.errors import RopewrightError
from ropewright.web.procedures.source import source_of
from ropewright.web.workings import background, worker
from ropewright.web.workings.background import TASKS, Task, again, ask, ask_all
from ropewright.web.workings.models import Working
from ropewright.web.workings.worker import run_waiting
from tests.homes import own_home

pytestmark = pytest.mark.django_db


def double(asked: dict[str, int], tell: worker.Tell) -> dict[str, int]:
    tell(1, 2, "doubling")
    return {"twice": 2 * asked["number"]}


def endless(asked: dict[str, int], tell: worker.Tell) -> dict[str, int]:
    while True:
        time.sleep(0.01)


def stubborn(asked: dict[str, int], tell: worker.Tell) -> dict[str, int]:
    while True:
        with suppress(Exception):
            time.sleep(0.01)


def broken(asked: dict[str, int], tell: worker.Tell) -> dict[str, int]:
    raise RopewrightError("there is no such number") if asked.get("told") else ValueError("no such number")


@pytest.fixture(autouse=True)
def _tasks(monkeypatch: pytest.MonkeyPatch) -> None:
    own = {
        "double": Task(f"{__name__}:double", "short"),
        "endless": Task(f"{__name__}:endless", "short"),
        "stubborn": Task(f"{__name__}:stubborn", "short"),
        "broken": Task(f"{__name__}:broken", "long"),
    }
    monkeypatch.setattr(background, "TASKS", {**TASKS, **own})


def test_what_is_asked_for_twice_is_worked_out_once() -> None:
    first = ask("double", [4], {"number": 4})
    assert ask("double", [4], {"number": 4}).key == first.key
    assert run_waiting("short")
    assert not run_waiting("short")
    done = ask("double", [4], {"number": 4})
    assert (done.state, done.data, done.tries) == (Working.State.DONE, {"twice": 8}, 1)


def test_the_lanes_do_not_wait_for_each_other() -> None:
    ask("broken", [1], {"number": 1})
    ask("double", [1], {"number": 1})
    assert run_waiting("short")
    assert Working.objects.get(kind="broken").state == Working.State.RUNNING


def test_what_fails_says_why_and_may_be_tried_again() -> None:
    row = ask("broken", [1], {"told": True})
    assert run_waiting("long")
    row.refresh_from_db()
    assert (row.state, row.words) == (Working.State.FAILED, "there is no such number")
    again(row)
    assert (row.state, row.words, row.asked) == (Working.State.RUNNING, "", {"told": True})


def test_a_fault_of_the_program_is_told_in_plain_words_and_named_in_the_log(
    caplog: pytest.LogCaptureFixture,
) -> None:
    row = ask("broken", [1], {"number": 1})
    assert run_waiting("long")
    row.refresh_from_db()
    assert row.words == "a fault of this program kept it from being worked out; the server's log says where"
    assert "ValueError: no such number" in caplog.text


def test_a_row_left_by_a_process_that_ended_is_taken_up_again() -> None:
    row = ask("double", [3], {"number": 3})
    claim = f"{socket.gethostname()[:60]}:short:999999"
    Working.objects.filter(pk=row.pk).update(claim=claim, beat=timezone.now(), tries=1)
    assert run_waiting("short")
    row.refresh_from_db()
    assert row.data == {"twice": 6}


def test_a_row_of_a_process_on_another_machine_is_left_to_it_while_it_gives_signs() -> None:
    row = ask("double", [3], {"number": 3})
    Working.objects.filter(pk=row.pk).update(claim="elsewhere:short:1", beat=timezone.now())
    assert not run_waiting("short")
    Working.objects.filter(pk=row.pk).update(beat=timezone.now() - timedelta(minutes=4))
    assert run_waiting("short")


def test_a_row_under_which_every_process_ended_is_given_up() -> None:
    row = ask("double", [3], {"number": 3})
    Working.objects.filter(pk=row.pk).update(tries=worker.MOST_TRIES)
    assert run_waiting("short")
    row.refresh_from_db()
    assert row.words == "it was begun 3 times, and each time the process ended under it"


@pytest.mark.parametrize("kind", ["endless", "stubborn"])
def test_what_never_ends_is_given_up_and_the_next_is_done(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worker, "MOST_SECONDS", 0.2)
    row = ask(kind, [1], {})
    ask("double", [1], {"number": 1})
    assert run_waiting("short")
    row.refresh_from_db()
    assert (row.state, row.words) == (
        Working.State.FAILED,
        "it took longer than 0 minutes and was given up",
    )
    assert run_waiting("short")
    assert Working.objects.get(kind="double").is_done


def test_what_somebody_looks_at_comes_before_what_a_list_asked_for() -> None:
    ask_all("double", [([n], {"number": n}) for n in (1, 2)])
    ask("double", [9], {"number": 9})
    assert run_waiting("short")
    assert Working.objects.get(state=Working.State.DONE).data == {"twice": 18}


def test_many_are_asked_for_in_two_queries(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    with django_assert_num_queries(4):  # two, and the savepoint round the second
        ask_all("double", [([n], {"number": n}) for n in range(40)])
    assert Working.objects.count() == 40


def test_a_process_of_its_own_works_out_a_proof_and_a_second_one_ends_at_once(ready_home: Path) -> None:
    """The real thing: a store of its own, a row asked for there, and the process that the server starts."""
    source = source_of("procedure: x\n", "x.procedure.yaml")
    put = (
        "import sys, json, django; django.setup();"
        "from ropewright.web.workings.models import Working;"
        "Working.objects.create(key='a' * 64, kind='procedure', state='running',"
        " asked=json.loads(sys.argv[1]))"
    )
    show = (
        "import django; django.setup(); from ropewright.web.workings.models import Working;"
        "row = Working.objects.get(key='a' * 64); print(row.state, row.data['faults'][0]['text'])"
    )
    env = own_home(ready_home) | {"DJANGO_SETTINGS_MODULE": "ropewright.web.settings"}

    def run(*args: str) -> str:
        return subprocess.run(
            [sys.executable, *args], env=env, capture_output=True, text=True, check=True, timeout=120
        ).stdout

    run("-c", put, json.dumps(source.asked))
    with subprocess.Popen(
        [sys.executable, "-m", "ropewright.web.workings.worker", "short"], env=env
    ) as first:
        for _ in range(100):
            if (ready_home / "work-short.lock").exists():
                break
            time.sleep(0.1)
        run("-m", "ropewright.web.workings.worker", "short")  # finds the lane taken, else it would linger
        for _ in range(900):  # it runs behind everything else: on a busy machine it takes its time
            said = run("-c", show) if _finished(ready_home) else ""
            if said:
                break
            time.sleep(0.1)
        first.terminate()
    assert said.startswith("done `from:` is missing at the top")


def _finished(home: Path) -> bool:
    with sqlite3.connect(home / "ropewright.sqlite3") as store:
        return bool(
            store.execute("SELECT 1 FROM workings_working WHERE state = 'done' AND key LIKE 'aa%'").fetchone()
        )


def test_a_large_rig_keeps_no_procedure_waiting() -> None:
    by_lane = {kind: task.lane for kind, task in TASKS.items()}
    assert {by_lane[kind] for kind in by_lane if kind.startswith("procedure")} == {"short", "long"}
    assert {by_lane[kind] for kind in ("rig", "rig-card", "rig-png", "needs of a rig")} == {"large"}
