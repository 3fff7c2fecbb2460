"""Asking for what takes seconds: a row says what is wanted, and a process beside the server does it.

The row stays when server and process go; whoever looks at it next starts a process again, which takes it up.
In which order rows are done is told in `turns`.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from threading import Lock
from typing import Any, Literal

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone

from ropewright.web.best_effort import best_effort
from ropewright.web.held import serves
from ropewright.web.workings.asking import account
from ropewright.web.workings.models import Working
from ropewright.web.workings.results import digest
from ropewright.web.workings.turns import is_watched, queue, served

__all__ = [
    "MOST_WAITING",
    "TASKS",
    "Lane",
    "Task",
    "TooManyError",
    "again",
    "ask",
    "ask_all",
    "before",
    "found",
    "kinds_of",
    "look",
    "wake",
]

Lane = Literal["short", "long", "large"]
"""Short work is what somebody waits for before a page; neither long work nor a large rig keeps it waiting."""


@dataclass(frozen=True, slots=True)
class Task:
    """A kind of work: the function that does it, as `module:name`, and the lane in which it waits."""

    work: str
    lane: Lane


_RIGS = "ropewright.web.rigs.tasks"
_PROCEDURES = "ropewright.web.procedures.tasks"
TASKS: Mapping[str, Task] = {
    "procedure": Task(f"{_PROCEDURES}:proof", "short"),
    "procedure-pictures": Task(f"{_PROCEDURES}:pictures", "short"),
    "procedure-mistakes": Task(f"{_PROCEDURES}:mistakes", "long"),
    "procedure-mistake": Task(f"{_PROCEDURES}:mistake", "short"),
    "procedure-sheets": Task(f"{_PROCEDURES}:sheets", "long"),
    "rig": Task("ropewright.web.workings.tasks:rig", "large"),
    "rig-card": Task(f"{_RIGS}:paper", "large"),
    "rig-crew": Task(f"{_RIGS}:crew", "large"),
    "rig-friction": Task(f"{_RIGS}:friction", "large"),
    "rig-glance": Task(f"{_RIGS}:glance", "large"),
    "rig-limits": Task(f"{_RIGS}:limits", "large"),
    "rig-png": Task(f"{_RIGS}:png", "large"),
    "rig-turned": Task(f"{_RIGS}:turned", "large"),
    "needs of a rig": Task("ropewright.web.planning.tasks:needs", "large"),
    "rig-listed": Task(f"{_RIGS}:card", "long"),
    "way": Task(f"{_PROCEDURES}:way", "long"),
}
NOT_ASKED = "waits: the store can't be written just now. Open this page anew in a moment"
MOST_WAITING = 40
"""How many pieces of work may wait for one account; more are refused until some of them are done."""
_FRESH = timedelta(seconds=5)
_started: dict[Lane, subprocess.Popen[bytes]] = {}
_starting = Lock()


class TooManyError(Exception):
    """An account asks for more while all that may wait for it waits already."""


def kinds_of(lane: str) -> list[str]:
    """The kinds of work that wait in a lane."""
    return [kind for kind, task in TASKS.items() if task.lane == lane]


def ask(kind: str, parts: Sequence[object], asked: Mapping[str, Any]) -> Working:
    """The row of a result, asked for where nobody has: done, failed or being worked out.

    Where the store can't be written just now the row is in none: it says so, and the next look asks again.

    parts: what the result follows from. asked: what the work is given, plain values. Errors: TooManyError
    where it is new and the account that asks has too much waiting.
    """
    key = digest(kind, *parts)
    row = Working.objects.filter(key=key).first()
    if row is None:
        who = _with_room(account())
        new = Working(key=key, kind=kind, state=Working.State.RUNNING, asked=dict(asked), words=NOT_ASKED)
        new.who_id, new.looked = who, timezone.now()
        try:
            row = best_effort(lambda: _created(new))
        except IntegrityError:  # somebody else was quicker
            row = Working.objects.get(key=key)
        if row is None:
            return new
    return look(row)


def _created(row: Working) -> Working:
    return Working.objects.create(
        key=row.key, kind=row.kind, state=row.state, asked=row.asked, who_id=row.who_id, looked=row.looked
    )


def _with_room(who: int | None) -> int | None:
    """The account, where more may wait for it. Errors: TooManyError."""
    if (
        who is not None
        and Working.objects.filter(who=who, state=Working.State.RUNNING).count() >= MOST_WAITING
    ):
        raise TooManyError(f"{MOST_WAITING} pieces of work wait for this account")
    return who


def ask_all(kind: str, wanted: Sequence[tuple[Sequence[object], Mapping[str, Any]]]) -> None:
    """Ask for many results at once, in two queries; those that somebody asked for before stay as they are.

    Nobody in particular waits for them: they are a list's, and come after what somebody looks at.
    """
    by_key = {digest(kind, *parts): asked for parts, asked in wanted}
    known = dict(Working.objects.filter(key__in=by_key).values_list("key", "state"))
    rows = [
        Working(key=key, kind=kind, state=Working.State.RUNNING, asked=dict(asked))
        for key, asked in by_key.items()
        if key not in known
    ]
    if rows:
        best_effort(lambda: Working.objects.bulk_create(rows, ignore_conflicts=True))
    if rows or Working.State.RUNNING in known.values():
        transaction.on_commit(lambda: wake(TASKS[kind].lane))


def found(kind: str, parts: Sequence[object]) -> Working | None:
    """The row of a result where somebody asked for it before; nothing is begun."""
    return Working.objects.filter(key=digest(kind, *parts)).first()


def look(row: Working) -> Working:
    """Give sign that somebody waits for a row: what is looked at comes first, and somebody is at work."""
    if row.state == Working.State.RUNNING:
        if not row.claim:
            _watched(row)
        transaction.on_commit(lambda: wake(TASKS[row.kind].lane))
    return row


def _watched(row: Working) -> None:
    """Note that somebody looks. What two wait for comes with the turn of whoever has the earlier one."""
    now, who, changed = timezone.now(), account(), dict[str, Any]()
    if row.looked is None or now - row.looked > _FRESH:
        changed["looked"] = now
    is_another = who is not None and who != row.who_id
    if is_another and (row.who_id is None or not is_watched(row.looked, now) or _sooner(who, row)):
        changed["who"] = who
    if changed:
        free = Working.objects.filter(pk=row.pk, claim="", state=Working.State.RUNNING)
        best_effort(lambda: free.update(**changed))


def _sooner(who: int | None, row: Working) -> bool:
    last = served(kinds_of(TASKS[row.kind].lane), (who, row.who_id))
    return row.who_id in last and (who not in last or last[who] < last[row.who_id])


def before(row: Working) -> int:
    """How many pieces of work are done before this one is begun, as far as is known by now."""
    if row.claim or row.state != Working.State.RUNNING:
        return 0
    kinds = kinds_of(TASKS[row.kind].lane)
    running = Working.objects.filter(state=Working.State.RUNNING, kind__in=kinds)
    waiting = queue(running.filter(claim=""), kinds)
    if row.pk not in waiting:
        return 0
    return running.exclude(claim="").count() + waiting.index(row.pk)


def again(row: Working) -> None:
    """Try once more what failed. Errors: TooManyError."""
    now, who = timezone.now(), _with_room(account())
    Working.objects.filter(pk=row.pk, state=Working.State.FAILED).update(
        state=Working.State.RUNNING,
        claim="",
        words="",
        done=0,
        whole=0,
        tries=0,
        made=now,
        looked=now,
        who=who,
    )
    row.refresh_from_db()
    look(row)


def wake(lane: Lane) -> None:
    """Start the process of a lane where this one has started none that still runs.

    A second one finds the lane taken and ends, so it does no harm where several servers start one each.
    """
    if not getattr(settings, "WORK_BESIDE", True):
        return
    with _starting:
        last = _started.get(lane)
        if last is not None and last.poll() is None:
            return
        _started[lane] = subprocess.Popen(
            [sys.executable, "-m", "ropewright.web.workings.worker", lane, *(["served"] if serves() else [])],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            start_new_session=True,
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": settings.SETTINGS_MODULE,
                "ROPEWRIGHT_HOME": str(settings.ENVIRONMENT.home),
            },
        )
