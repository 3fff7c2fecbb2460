"""Asking for what takes seconds: a row says what is wanted, and a process beside the server does it.

The row stays when server and process go; whoever looks at it next starts a process again, which takes it up.
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
from django.db.models import Q
from django.utils import timezone

from ropewright.web.best_effort import best_effort
from ropewright.web.workings.models import Working
from ropewright.web.workings.results import digest

__all__ = ["TASKS", "Lane", "Task", "again", "ask", "ask_all", "before", "found", "look", "wake"]

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
_FRESH = timedelta(seconds=5)
_started: dict[Lane, subprocess.Popen[bytes]] = {}
_starting = Lock()


def ask(kind: str, parts: Sequence[object], asked: Mapping[str, Any]) -> Working:
    """The row of a result, asked for where nobody has: done, failed or being worked out.

    Where the store can't be written just now the row is in none: it says so, and the next look asks again.

    parts: what the result follows from. asked: what the work is given, plain values.
    """
    key = digest(kind, *parts)
    row = Working.objects.filter(key=key).first()
    if row is None:
        new = Working(key=key, kind=kind, state=Working.State.RUNNING, asked=dict(asked), words=NOT_ASKED)
        try:
            row = best_effort(lambda: _created(new))
        except IntegrityError:  # somebody else was quicker
            row = Working.objects.get(key=key)
        if row is None:
            return new
    return look(row)


def _created(row: Working) -> Working:
    return Working.objects.create(key=row.key, kind=row.kind, state=row.state, asked=row.asked)


def ask_all(kind: str, wanted: Sequence[tuple[Sequence[object], Mapping[str, Any]]]) -> None:
    """Ask for many results at once, in two queries; those that somebody asked for before stay as they are."""
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
    """Give sign that somebody waits for a row: what is waited for comes first, and somebody is at work."""
    if row.state == Working.State.RUNNING:
        now = timezone.now()
        if not row.claim and now - row.made > _FRESH:
            free = Working.objects.filter(pk=row.pk, claim="", state=Working.State.RUNNING)
            best_effort(lambda: free.update(made=now))
        transaction.on_commit(lambda: wake(TASKS[row.kind].lane))
    return row


def before(row: Working) -> int:
    """How many pieces of work are done before this one is begun; what was asked for last comes first."""
    if row.claim or row.state != Working.State.RUNNING:
        return 0
    lane = TASKS[row.kind].lane
    kinds = [kind for kind, task in TASKS.items() if task.lane == lane]
    sooner = Q(made__gt=row.made) | ~Q(claim="")
    return (
        Working.objects.filter(sooner, state=Working.State.RUNNING, kind__in=kinds).exclude(pk=row.pk).count()
    )


def again(row: Working) -> None:
    """Try once more what failed."""
    Working.objects.filter(pk=row.pk, state=Working.State.FAILED).update(
        state=Working.State.RUNNING, claim="", words="", done=0, whole=0, tries=0, made=timezone.now()
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
            [sys.executable, "-m", "ropewright.web.workings.worker", lane],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            start_new_session=True,
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": settings.SETTINGS_MODULE,
                "ROPEWRIGHT_HOME": str(settings.ENVIRONMENT.home),
            },
        )
