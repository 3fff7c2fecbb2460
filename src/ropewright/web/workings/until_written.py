"""A write that may not be lost: made again and again until the store takes it."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable

from django.db import InterfaceError, InternalError, OperationalError, connection, transaction

__all__ = ["STORE_FAULTS", "store_rest", "until_written"]

STORE_FAULTS = (OperationalError, InterfaceError, InternalError)
"""The store is locked, full or out of reach: nothing of what is worked out is to blame."""
_PAUSE = 1.0
_LOG = logging.getLogger("ropewright.work")


def until_written(write: Callable[[], object], given_up: Callable[[], bool] = lambda: False) -> bool:
    """Write, and where the store can't be written try until it can; False where that is given up before.

    Errors: those of ``write`` that are not the store's.
    """
    told = False
    while True:
        try:
            with transaction.atomic():
                write()
        except STORE_FAULTS as error:
            if not told:
                _LOG.warning("tried until the store can be written: %s", error)
            told = True
            if given_up():
                return False
            store_rest()
        else:
            return True


def store_rest() -> None:
    """Leave the store alone for a moment; a connection that it has ended is opened anew after that."""
    if not connection.in_atomic_block:
        connection.close_if_unusable_or_obsolete()
    time.sleep(_PAUSE)
