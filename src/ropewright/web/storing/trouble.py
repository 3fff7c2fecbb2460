"""A store that can't be used, told in plain words to whoever starts a command."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import DatabaseError

from ropewright.web.environment import Environment
from ropewright.web.storing.members import StoreError

__all__ = ["check_file", "told_plainly"]

_DAMAGED = ("malformed", "not a database", "file is encrypted", "malformed database schema")


@contextmanager
def told_plainly() -> Iterator[None]:
    """Turn what a database says into a sentence that names the store. Errors: StoreError."""
    try:
        yield
    except (DatabaseError, sqlite3.DatabaseError) as error:
        raise StoreError(_words(settings.ENVIRONMENT, error)) from None
    except BrokenPipeError:  # the reader of what is told went away
        raise
    except OSError as error:
        where = error.filename or settings.ENVIRONMENT.home
        raise StoreError(f"{where} can't be used: {error.strerror or error}") from None


def check_file(environment: Environment) -> None:
    """Refuse a damaged or empty SQLite file before anything is written to it. Errors: StoreError."""
    path = environment.store_file
    if path is None or not path.exists():
        return
    if not path.stat().st_size:
        raise StoreError(
            f"{path} is empty (0 bytes). Put the last backup in place with `ropewright restore FILE`, or "
            "delete that file to begin a new store"
        )
    try:
        connection = sqlite3.connect(path, timeout=10)
        try:
            said = [row[0] for row in connection.execute("PRAGMA quick_check(1)")]
        finally:
            connection.close()
    except sqlite3.DatabaseError as error:
        raise StoreError(_words(environment, error)) from None
    if said != ["ok"]:
        raise StoreError(_damaged(environment, said[0]))


def _words(environment: Environment, error: Exception) -> str:
    said = " ".join(str(error).split()) or type(error).__name__
    if environment.store_file is None:
        return f"the PostgreSQL server that ROPEWRIGHT_DATABASE names can't be used: {said}"
    if any(word in said for word in _DAMAGED):
        return _damaged(environment, said)
    return f"{environment.store_file} can't be used just now: {said}"


def _damaged(environment: Environment, said: str) -> str:
    first = " ".join(said.split())[:200]
    return (
        f"{environment.store_file} is damaged ({first}). Put the last backup in place with "
        "`ropewright restore FILE`; what is there now is set aside then, not deleted"
    )
