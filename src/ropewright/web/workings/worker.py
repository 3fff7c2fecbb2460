"""The process that works out what was asked for: `python -m ropewright.web.workings.worker short`.

One a lane and machine, held by a lock on a file that the system frees when the process ends, however it ends.
So a row that a process of this machine claimed in this lane, and did not finish, is free to be taken up.
It ends with its server (`ending`), and what the store can't take at once is no fault of the work.
"""

from __future__ import annotations

import logging
import os
import signal
import socket
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from importlib import import_module
from typing import TYPE_CHECKING, Any

from ropewright.errors import RopewrightError

if TYPE_CHECKING:
    from ropewright.web.workings.models import Working

__all__ = ["Tell", "main", "run_waiting"]

Tell = Callable[..., None]
"""Called with how much is done, of how much, and words for what is being done."""

LINGER = 20.0
"""How long [s] it waits for more before it ends."""
LOST = timedelta(minutes=3)
"""After how long without a sign a process on another machine counts as gone."""
MOST_TRIES = 3
MOST_SECONDS = 900.0
"""After how long a piece of work is given up."""
MOST_STORE_FAULTS = 20
"""How often the store may fail under one piece of work before that is left to whoever asks again."""
OWN_FAULT = "a fault of this program kept it from being worked out; the server's log says where"
STORE_FAULT = "the store could not be used while it was worked out"
_store_faults: Counter[str] = Counter()
_at: list[Working] = []
"""The piece of work at hand."""
_LOG = logging.getLogger("ropewright.work")


class TooLongError(BaseException):
    """A piece of work took longer than any may. Nothing that tells of the work's own faults may catch it."""


def main(lane: str, *, served: bool = False) -> int:
    """Work until nothing is left to do for a while. Another one at it already: end at once.

    served: whether a server began it, without which it does not go on.
    """
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ropewright.web.settings")
    from ropewright.web.environment import read_environment
    from ropewright.web.held import HeldError, together, work_lock
    from ropewright.web.rights import keep_new_files_close
    from ropewright.web.workings.ending import end_with_server, ends_when_told

    home = read_environment().home
    lock = work_lock(home, lane)
    if lock is None:
        return 0
    try:
        # at its end it would take the log of a database that was put there meanwhile for its own
        together(home)
    except HeldError:
        return 0
    os.nice(10)
    keep_new_files_close()
    import django

    django.setup()
    ends_when_told()
    end_with_server(home, _give_back, served=served)
    _work(lane)
    os.close(lock)
    return 0


def _work(lane: str) -> None:
    from django.db import connection

    from ropewright.web.workings.ending import ends
    from ropewright.web.workings.until_written import STORE_FAULTS, store_rest

    if connection.vendor == "sqlite":  # it writes little and tries again: no long wait keeps it from its end
        connection.settings_dict["OPTIONS"] = {**connection.settings_dict["OPTIONS"], "timeout": 2}
    idle = time.monotonic()
    while not ends() and time.monotonic() - idle < LINGER:
        try:
            worked = run_waiting(lane)
        except STORE_FAULTS as error:
            _LOG.warning("no work was begun, the store can't be used just now: %s", error)
            store_rest()
            continue
        if worked:
            idle = time.monotonic()
        else:
            time.sleep(0.3)


def run_waiting(lane: str) -> bool:
    """Do the work whose turn it is; False where none waits."""
    row = _claimed(lane)
    if row is None:
        return False
    _at[:] = [row]
    _do(row)
    _at.clear()
    return True


def _claimed(lane: str) -> Working | None:
    from django.db.models import F, Q
    from django.utils import timezone

    from ropewright.web.workings.background import kinds_of
    from ropewright.web.workings.models import Working
    from ropewright.web.workings.turns import queue

    own = f"{socket.gethostname()[:60]}:{lane}:"
    kinds = kinds_of(lane)
    now = timezone.now()
    free = Q(claim="") | Q(claim__startswith=own) | Q(beat__lt=now - LOST)
    waiting = Working.objects.filter(free, state=Working.State.RUNNING, kind__in=kinds)
    for key in queue(waiting, kinds)[:5]:
        row = waiting.filter(pk=key).first()
        if row is None:
            continue
        mine = Working.objects.filter(pk=key, claim=row.claim, state=Working.State.RUNNING)
        if mine.update(claim=f"{own}{os.getpid()}", beat=now, begun=now, tries=F("tries") + 1):
            row.refresh_from_db()
            return row
    return None


def _do(row: Working) -> None:
    """Do one piece of work; what it raises is told in the row, not here."""
    from ropewright.web.workings.ending import BrokenOffError
    from ropewright.web.workings.until_written import STORE_FAULTS, store_rest

    if row.tries > MOST_TRIES:
        _end(row, failed=f"it was begun {MOST_TRIES} times, and each time the process ended under it")
        return
    began = time.monotonic()
    try:
        data = _result(row)
    except BrokenOffError:
        _give_back()
    except TooLongError:
        _end(row, failed=f"it took longer than {MOST_SECONDS / 60:.0f} minutes and was given up")
    except STORE_FAULTS as error:
        _LOG.warning("%s is begun anew, the store can't be used just now: %s", row.kind, error)
        _store_faults[row.pk] += 1
        if _store_faults[row.pk] >= MOST_STORE_FAULTS:
            del _store_faults[row.pk]
            _end(row, failed=STORE_FAULT)
        else:
            store_rest()
            _give_back()
    except RopewrightError as error:
        _LOG.warning("%s could not be worked out: %s", row.kind, error)
        _end(row, failed=str(error))
    except Exception:
        _LOG.exception("%s could not be worked out", row.kind)
        _end(row, failed=OWN_FAULT)
    else:
        _keep(row, data, time.monotonic() - began)


def _result(row: Working) -> dict[str, Any]:
    from ropewright.web.policy.now import forget_rules
    from ropewright.web.workings.background import TASKS
    from ropewright.web.workings.ending import breakable
    from ropewright.web.workings.waiting import at_work

    forget_rules()
    module, _, name = TASKS[row.kind].work.partition(":")
    with at_work(), breakable(), _given_up_after(MOST_SECONDS):
        data: dict[str, Any] = getattr(import_module(module), name)(row.asked, _teller(row))
    return data


@contextmanager
def _given_up_after(seconds: float) -> Iterator[None]:
    """Break off what takes too long, whether it ever tells how far it is or not. Errors: TooLongError."""

    def stop(_number: int, _frame: object) -> None:
        raise TooLongError

    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def _teller(row: Working) -> Tell:
    last = 0.0

    def tell(done: int, whole: int = 0, words: str = "") -> None:
        nonlocal last
        from django.utils import timezone

        from ropewright.web.best_effort import best_effort
        from ropewright.web.workings.models import Working

        now = time.monotonic()
        if now - last >= 0.7:
            last = now
            mine = Working.objects.filter(pk=row.pk)
            far = {"done": max(0, done), "whole": max(0, whole), "words": words[:300]}
            best_effort(lambda: mine.update(**far, beat=timezone.now()))

    return tell


def _give_back() -> None:
    """Leave the piece of work at hand to whoever comes next, its try not counted."""
    from ropewright.web.workings.ending import ends
    from ropewright.web.workings.models import Working
    from ropewright.web.workings.until_written import until_written

    if not _at:
        return
    row = _at[0]
    mine = Working.objects.filter(pk=row.pk, claim=row.claim, state=Working.State.RUNNING)
    back = {"claim": "", "tries": max(0, row.tries - 1), "begun": None, "done": 0, "whole": 0, "words": ""}
    until_written(lambda: mine.update(**back), ends)


def _keep(row: Working, data: dict[str, Any], seconds: float) -> None:
    """Keep a result, however long the store takes; one that no store can take is a fault of the program."""
    try:
        _end(row, data=data, seconds=seconds)
    except Exception:
        _LOG.exception("%s was worked out and could not be kept", row.kind)
        _end(row, failed=OWN_FAULT)


def _end(row: Working, *, data: dict[str, Any] | None = None, failed: str = "", seconds: float = 0.0) -> None:
    from django.utils import timezone

    from ropewright.web.workings.ending import ends
    from ropewright.web.workings.models import Working
    from ropewright.web.workings.until_written import until_written

    state = Working.State.FAILED if data is None else Working.State.DONE
    end = {"state": state, "data": data or {}, "words": failed[:300], "seconds": seconds, "claim": ""}
    asked = {} if state == Working.State.DONE else row.asked  # for another try
    mine = Working.objects.filter(pk=row.pk)
    until_written(lambda: mine.update(**end, asked=asked, beat=timezone.now()), ends)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else "short", served="served" in sys.argv[2:]))
