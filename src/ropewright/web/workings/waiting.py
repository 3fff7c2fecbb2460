"""What takes too long for a request is left to the process beside the server: whoever needs it waits.

A page calls the engine as always. Where the answer is not there yet and would take seconds, `leave_to_worker`
raises; what then goes to the browser is made in `answers`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from ropewright.rig import Rig
from ropewright.web.workings.background import ask
from ropewright.web.workings.models import Working
from ropewright.web.workings.size import is_heavy

__all__ = ["StillWorkingError", "at_work", "leave_to_worker"]

_at_work: ContextVar[bool] = ContextVar("this is the process beside the server", default=False)


class StillWorkingError(Exception):
    """A result that is to be waited for. It is no fault of a rig, so whoever tells of those lets it pass.

    It is asked for only once it has left every transaction: what is rolled back would never be worked out.
    """

    def __init__(self, kind: str, parts: tuple[object, ...], asked: Mapping[str, Any], what: str) -> None:
        self.kind, self.parts, self.asked, self.what = kind, parts, asked, what
        super().__init__(f"{what} is worked out beside the server")

    def ask(self) -> Working:
        """The row of the result, asked for where nobody has."""
        return ask(self.kind, self.parts, self.asked)


@contextmanager
def at_work() -> Iterator[None]:
    """Within this everything is worked out on the spot: nobody's request waits for it."""
    token = _at_work.set(True)
    try:
        yield
    finally:
        _at_work.reset(token)


def leave_to_worker(rig: Rig, kind: str, parts: tuple[object, ...], asked: Mapping[str, Any]) -> None:
    """Go on where this may take its time, or the rig is small. Errors: StillWorkingError elsewhere.

    kind, parts: under which the result will be kept, see `results.kept`. asked: what the task of that kind in
    `background.TASKS` is given.
    """
    if not _at_work.get() and is_heavy(rig):
        raise StillWorkingError(kind, parts, asked, rig.rig)
