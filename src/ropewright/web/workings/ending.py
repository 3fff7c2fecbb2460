"""How the process beside the server ends before its work is done: told to, or because its server is gone."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from ropewright.web.held import server_runs

__all__ = ["BrokenOffError", "breakable", "end_with_server", "ends", "ends_when_told"]

_LOOKS = 1.0
"""How often [s] it is looked whether the server still runs."""
_GRACE = 4.0
"""How long [s] a step that can't be broken off, such as one solution of a large system, may take to end."""
_told = threading.Event()
_breaks = False


class BrokenOffError(BaseException):
    """This process is to end. No fault of the work, so nothing that tells of those may catch it."""


def ends() -> bool:
    """Whether this process was told to end."""
    return _told.is_set()


def ends_when_told() -> None:
    """Let SIGTERM break work off instead of killing the process in the midst of it."""
    signal.signal(signal.SIGTERM, _stop)


def _stop(_number: int, _frame: object) -> None:
    global _breaks
    _told.set()
    if _breaks:
        _breaks = False
        raise BrokenOffError


@contextmanager
def breakable() -> Iterator[None]:
    """What may be broken off at any point. Errors: BrokenOffError once the process was told to end."""
    global _breaks
    if _told.is_set():
        raise BrokenOffError
    _breaks = True
    try:
        yield
    finally:
        _breaks = False


def end_with_server(home: Path, last: Callable[[], None], *, served: bool) -> None:
    """See to it that this process ends once it is told to, or ``served``, once no server of the home runs.

    last: done before the process is ended while it can't end by itself.
    """
    main = threading.main_thread().ident

    def watch() -> None:
        while not _told.wait(_LOOKS):
            if served and not server_runs(home) and main is not None:
                _told.set()
                signal.pthread_kill(main, signal.SIGTERM)
        time.sleep(_GRACE)
        try:
            last()
        finally:
            os._exit(0)

    threading.Thread(target=watch, daemon=True).start()
