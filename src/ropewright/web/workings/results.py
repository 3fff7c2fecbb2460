"""Results that depend on nothing but their inputs, kept in the store: a page seen before costs a look-up."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable
from typing import Any

from django.db import IntegrityError

from ropewright.web.best_effort import best_effort
from ropewright.web.workings.models import Working
from ropewright.web.workings.program import program

__all__ = ["digest", "kept", "work_out"]


def digest(*parts: object) -> str:
    """The key of a result: of what it follows from, and of the program's version."""
    whole = json.dumps([program(), *parts], sort_keys=True, default=str)
    return hashlib.sha256(whole.encode()).hexdigest()


def kept(kind: str, parts: tuple[object, ...], work: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """A result from the store, or worked out now and kept where that can be written. What raises is not."""
    key = digest(kind, *parts)
    found = Working.objects.filter(key=key, state=Working.State.DONE).first()
    if found is not None:
        data: dict[str, Any] = found.data
        return data
    began = time.perf_counter()
    data = work_out(key, work)
    seconds = time.perf_counter() - began
    try:
        best_effort(lambda: Working.objects.create(key=key, kind=kind, data=data, seconds=seconds))
    except IntegrityError:  # somebody else was quicker, or somebody waits for it
        best_effort(lambda: _end_the_wait(key, data, seconds))
    return data


def work_out(_key: str, work: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """Work a result out here and now; the key is for whoever would remember it, as the tests do."""
    return work()


def _end_the_wait(key: str, data: dict[str, Any], seconds: float) -> None:
    """Answer with a result whoever asked for it beside the server, where that has not done it yet."""
    waited_for = Working.objects.filter(key=key).exclude(state=Working.State.DONE)
    waited_for.update(state=Working.State.DONE, data=data, seconds=seconds, asked={}, claim="", words="")
