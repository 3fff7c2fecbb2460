"""How long somebody waits for an answer: a limit set where it is asked for, and kept where it is worked out.

Loops that may turn long call `keep_time`. Without a limit set around them that does nothing.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

__all__ = ["OutOfPatienceError", "keep_time", "patience"]


class OutOfPatienceError(Exception):
    """Nobody waits any longer. It says nothing of a rig: what catches the faults of rigs lets it pass."""


def _never() -> bool:
    return False


_limit: ContextVar[tuple[float, Callable[[], bool]] | None] = ContextVar("_limit", default=None)


@contextmanager
def patience(seconds: float, gone: Callable[[], bool] = _never) -> Iterator[None]:
    """Let what runs within take so many seconds of this thread's processor time, and end it where ``gone``
    says that nobody wants it any more. Errors within: OutOfPatienceError.
    """
    token = _limit.set((time.thread_time() + seconds, gone))
    try:
        yield
    finally:
        _limit.reset(token)


def keep_time() -> None:
    """Errors: OutOfPatienceError where the time is over or nobody wants the answer any more."""
    limit = _limit.get()
    if limit is not None and (time.thread_time() > limit[0] or limit[1]()):
        raise OutOfPatienceError
