"""Writes that a page can do without: a store that can't be written can still be read."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import TypeVar

from django.db import DatabaseError, InternalError, OperationalError, connection, transaction

__all__ = ["best_effort"]

T = TypeVar("T")
_LOG = logging.getLogger("ropewright")
_WAIT_MS = 250
_PAUSE = 5.0
"""How long [s] nothing is tried after a failure: a page of many results waits once."""
_not_before = 0.0


def best_effort(write: Callable[[], T]) -> T | None:
    """Do a write that may be left out; None where the store can't be written just now.

    It has its own transaction, and waits a moment only for another's. Errors: those of ``write`` that are
    not the store's.
    """
    global _not_before
    if time.monotonic() < _not_before:
        return None
    try:
        with _short_wait(), transaction.atomic():
            return write()
    except (OperationalError, InternalError) as error:
        _not_before = time.monotonic() + _PAUSE
        _LOG.warning("left out, the store can't be written just now: %s", error)
        return None


@contextmanager
def _short_wait() -> Iterator[None]:
    """Wait for somebody else's write less long than a save does."""
    if connection.vendor != "sqlite" or connection.in_atomic_block:
        yield
        return
    whole = int(connection.settings_dict["OPTIONS"].get("timeout", 5) * 1000)
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA busy_timeout={_WAIT_MS}")
    try:
        yield
    finally:
        with suppress(DatabaseError), connection.cursor() as cursor:
            cursor.execute(f"PRAGMA busy_timeout={whole}")
