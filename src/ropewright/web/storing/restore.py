"""Putting a backup in place of a store."""

from __future__ import annotations

import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.core.management import call_command
from django.core.management.color import no_style
from django.core.serializers.base import DeserializationError
from django.db import DatabaseError, connection, transaction

from ropewright.web.held import LINGERS, alone
from ropewright.web.storing.backup import backup
from ropewright.web.storing.members import DATABASE, ROWS, StoreError, models_kept
from ropewright.web.storing.sound import NO_ACCOUNT, check_age, check_sqlite
from ropewright.web.storing.swap import put_in_place, settle
from ropewright.web.storing.unpacked import Unpacked

__all__ = ["restore"]

Say = Callable[[str], None]


def restore(source: Path, say: Say = lambda _text: None) -> None:
    """Put a backup in place of the store of the home folder; what was there is set aside, not deleted.

    The new store is made ready beside the old one first: each member unpacked and checked against its digest,
    the database found sound, ours, not from a newer program, holding somebody, and brought up to date. Only
    then are the two swapped, by renames. The server must not be running. Errors: StoreError.
    """
    home = settings.ENVIRONMENT.home
    try:
        with alone(home, LINGERS, say):
            settle(home, say)
            with zipfile.ZipFile(source) as archive, Unpacked(archive, source) as unpacked:
                check_age(unpacked.about["migrations"], unpacked.about["program"], source)
                if connection.vendor == "sqlite":
                    _make_ready(unpacked, source)
                    aside = put_in_place(home, unpacked.folder)
                    if aside:
                        say(f"What was there is set aside in {aside}")
                else:
                    _put_rows_in_server(unpacked, source, say)
    except zipfile.BadZipFile as error:
        raise StoreError(f"{source} is damaged or is no backup: {error}") from None
    except (OSError, sqlite3.OperationalError, DatabaseError) as error:
        raise StoreError(f"{_words(error, source)}; nothing was changed") from None


def _words(error: Exception, source: Path) -> str:
    if isinstance(error, OSError):
        return f"{error.filename or source}: {error.strerror or error}"
    return f"{source} could not be put in: {' '.join(str(error).split())}"


def _make_ready(unpacked: Unpacked, source: Path) -> None:
    """Make the database that will be the store's, beside it: checked, up to date, its sessions ended."""
    path = unpacked.folder / DATABASE
    is_copy = unpacked.about["database"] == "sqlite"
    if is_copy:
        check_age(check_sqlite(path, source), unpacked.about["program"], source)
    with _connected_to(path):
        call_command("migrate", interactive=False, verbosity=0)
        if not is_copy:
            _put_rows(unpacked, source)
        _end_sessions()
    with closing(sqlite3.connect(path)) as database:  # nothing may be left in a log beside it
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        database.execute("PRAGMA journal_mode=DELETE")
    check_sqlite(path, source)


@contextmanager
def _connected_to(path: Path) -> Iterator[None]:
    """Have Django work on another file than the store's."""
    live = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = path
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = live


def _put_rows_in_server(unpacked: Unpacked, source: Path, say: Say) -> None:
    """Put rows into a PostgreSQL server, in one transaction, and the documents beside."""
    if unpacked.about["database"] == "sqlite":
        raise StoreError(
            "this backup holds an SQLite database, and ROPEWRIGHT_DATABASE names a PostgreSQL server; "
            "restore it without that setting"
        )
    call_command("migrate", interactive=False, verbosity=0)
    if apps.get_model("accounts", "Account").objects.exists():
        aside = settings.ENVIRONMENT.home / f"before-restore-{datetime.now(UTC):%Y%m%d-%H%M%S}.zip"
        backup(aside)
        say(f"What was there is kept in {aside}")
    added = _add_documents(unpacked.folder)
    try:
        with transaction.atomic():
            _put_rows(unpacked, source)
            _end_sessions()
    except BaseException:
        for path in added:
            path.unlink(missing_ok=True)
        raise


def _put_rows(unpacked: Unpacked, source: Path) -> None:
    """Put a backup's rows in place of those that are there, all or none. Errors: StoreError."""
    path = unpacked.folder / ROWS
    models = list(models_kept())
    try:
        with transaction.atomic():
            for model in reversed(models):
                model._default_manager.all().delete()
            with connection.constraint_checks_disabled(), path.open(encoding="utf-8") as file:
                for row in serializers.deserialize("jsonl", file, handle_forward_references=False):
                    row.save()
            connection.check_constraints()
            for sql in connection.ops.sequence_reset_sql(no_style(), models):
                connection.cursor().execute(sql)
            if not apps.get_model("accounts", "Account").objects.exists():
                raise StoreError(f"{source} {NO_ACCOUNT}")
    except (DeserializationError, ValueError) as error:
        raise StoreError(f"{source} is damaged: its {ROWS} can't be read ({error})") from None


def _end_sessions() -> None:
    apps.get_model("sessions", "Session").objects.all().delete()


def _add_documents(folder: Path) -> list[Path]:
    """Add documents to those that are there: none is ever written over, each has a name of its own."""
    root, papers, added = Path(settings.MEDIA_ROOT), folder / "documents", list[Path]()
    for path in sorted(papers.rglob("*")) if papers.is_dir() else ():
        target = root / path.relative_to(papers)
        if path.is_file() and not target.exists():
            target.parent.mkdir(parents=True, exist_ok=True)
            path.replace(target)
            added.append(target)
    return added
