"""The process that works out what was asked for: `python -m ropewright.web.workings.worker short`.

One a lane and machine, held by a lock on a file that the system frees when the process ends, however it ends.
So a row that a process of this machine claimed in this lane, and did not finish, is free to be taken up.
"""

from __future__ import annotations

import fcntl
import logging
import os
import signal
import socket
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
_LOG = logging.getLogger("ropewright.work")


class TooLongError(Exception):
    """A piece of work took longer than any may."""


def main(lane: str) -> int:
    """Work until nothing is left to do for a while. Another one at it already: end at once."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ropewright.web.settings")
    from ropewright.web.environment import read_environment
    from ropewright.web.held import HeldError, together
    from ropewright.web.rights import keep_new_files_close

    home = read_environment().home
    lock = _locked(home, lane)
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
    idle = time.monotonic()
    while time.monotonic() - idle < LINGER:
        if run_waiting(lane):
            idle = time.monotonic()
        else:
            time.sleep(0.3)
    lock.close()
    return 0


def _locked(home: Path, lane: str) -> Any:
    file = (home / f"work-{lane}.lock").open("w")
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        file.close()
        return None
    return file


def run_waiting(lane: str) -> bool:
    """Do the work that was asked for last; False where none waits."""
    row = _claimed(lane)
    if row is None:
        return False
    _do(row)
    return True


def _claimed(lane: str) -> Working | None:
    from django.db.models import F, Q
    from django.utils import timezone

    from ropewright.web.workings.background import TASKS
    from ropewright.web.workings.models import Working

    own = f"{socket.gethostname()[:60]}:{lane}:"
    kinds = [kind for kind, task in TASKS.items() if task.lane == lane]
    now = timezone.now()
    free = Q(claim="") | Q(claim__startswith=own) | Q(beat__lt=now - LOST)
    waiting = Working.objects.filter(free, state=Working.State.RUNNING, kind__in=kinds).order_by("-made")
    for row in waiting[:5]:
        mine = Working.objects.filter(pk=row.pk, claim=row.claim, state=Working.State.RUNNING)
        if mine.update(claim=f"{own}{os.getpid()}", beat=now, tries=F("tries") + 1):
            row.refresh_from_db()
            return row
    return None


def _do(row: Working) -> None:
    """Do one piece of work; what it raises is told in the row, not here."""
    from ropewright.web.policy.now import forget_rules
    from ropewright.web.workings.background import TASKS
    from ropewright.web.workings.waiting import at_work

    forget_rules()
    if row.tries > MOST_TRIES:
        _end(row, failed=f"it was begun {MOST_TRIES} times, and each time the process ended under it")
        return
    began = time.monotonic()
    module, _, name = TASKS[row.kind].work.partition(":")
    try:
        work = getattr(import_module(module), name)
        with at_work(), _given_up_after(MOST_SECONDS):
            data = work(row.asked, _teller(row))
    except TooLongError:
        _end(row, failed=f"it took longer than {MOST_SECONDS / 60:.0f} minutes and was given up")
    except Exception as error:
        _LOG.exception("%s could not be worked out", row.kind)
        _end(row, failed=f"{type(error).__name__}: {error}")
    else:
        _end(row, data=data, seconds=time.monotonic() - began)


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

        from ropewright.web.workings.models import Working

        now = time.monotonic()
        if now - last >= 0.7:
            last = now
            Working.objects.filter(pk=row.pk).update(
                done=max(0, done), whole=max(0, whole), words=words[:300], beat=timezone.now()
            )

    return tell


def _end(row: Working, *, data: dict[str, Any] | None = None, failed: str = "", seconds: float = 0.0) -> None:
    from ropewright.web.workings.models import Working

    state = Working.State.FAILED if data is None else Working.State.DONE
    Working.objects.filter(pk=row.pk).update(
        state=state, data=data or {}, words=failed[:300], seconds=seconds, claim="", asked=_kept(row, state)
    )


def _kept(row: Working, state: str) -> dict[str, Any]:
    """What was asked, for another try; of no use any more once it is done."""
    from ropewright.web.workings.models import Working

    return {} if state == Working.State.DONE else row.asked


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else "short"))
