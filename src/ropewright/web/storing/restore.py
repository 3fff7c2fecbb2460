"""Putting a backup in place of a store."""

from __future__ import annotations

import json
import shutil
import sqlite3
import zipfile
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.migrations.loader import MigrationLoader

from ropewright import __version__
from ropewright.web.held import alone
from ropewright.web.storing.members import ABOUT, DATABASE, ROWS, StoreError, models_kept
from ropewright.web.storing.unpacked import Unpacked

__all__ = ["restore"]


def restore(source: Path, say: Callable[[str], None] = lambda _text: None) -> None:
    """Put a backup in place of the store of the home folder; what was there is set aside, not deleted.

    Everything is checked before anything is changed: that the file is whole (each member against its digest),
    that it is not from a newer program, that the database in it is sound. The server must not be running.
    Errors: StoreError.
    """
    try:
        with (
            alone(settings.ENVIRONMENT.home),
            zipfile.ZipFile(source) as archive,
            Unpacked(archive, source) as folder,
        ):
            about = json.loads((folder / ABOUT).read_text(encoding="utf-8"))
            _check_age(about, source)
            if about["database"] == "sqlite" and connection.vendor == "sqlite":
                _check_sqlite(folder / DATABASE, source)
                _put_sqlite(folder, say)
            else:
                _put_rows(folder, about, say)
            _put_documents(folder)
    except zipfile.BadZipFile as error:
        raise StoreError(f"{source} is damaged or is no backup: {error}") from None
    except OSError as error:
        raise StoreError(f"{error.filename or source}: {error.strerror or error}") from None


def _check_age(about: dict[str, Any], source: Path) -> None:
    """Refuse a backup with tables that this program does not know."""
    known = set(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)
    newer = [tuple(pair) for pair in about["migrations"] if tuple(pair) not in known]
    if newer:
        app, name = newer[0]
        raise StoreError(
            f"{source} is from a newer program ({about['program']}; this one is {__version__}): it knows "
            f"'{app} {name}'. Update this program first"
        )


def _check_sqlite(path: Path, source: Path) -> None:
    try:
        with closing(sqlite3.connect(path)) as database:
            said = [row[0] for row in database.execute("PRAGMA integrity_check(5)")]
            broken = database.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.DatabaseError as error:
        raise StoreError(f"{source} holds a damaged database: {error}") from None
    if said != ["ok"] or broken:
        raise StoreError(f"{source} holds a damaged database: {said[0] if said != ['ok'] else broken}")


def _put_sqlite(folder: Path, say: Callable[[str], None]) -> None:
    home = settings.ENVIRONMENT.home
    live = Path(settings.DATABASES["default"]["NAME"])
    connection.close()
    if live.exists():
        aside = home / f"before-restore-{datetime.now(UTC):%Y%m%d-%H%M%S}"
        aside.mkdir()
        for path in (live, *(live.with_name(live.name + end) for end in ("-wal", "-shm"))):
            if path.exists():
                path.replace(aside / path.name)
        if Path(settings.MEDIA_ROOT).is_dir():
            shutil.copytree(settings.MEDIA_ROOT, aside / "documents")
        say(f"What was there is set aside in {aside}")
    (folder / DATABASE).replace(live)
    call_command("migrate", interactive=False, verbosity=0)
    _end_sessions()


def _put_rows(folder: Path, about: dict[str, Any], say: Callable[[str], None]) -> None:
    """Put rows into an empty store, in one transaction."""
    if about["database"] == "sqlite" or not (folder / ROWS).exists():
        raise StoreError(
            "this backup holds an SQLite database, and ROPEWRIGHT_DATABASE names a PostgreSQL server; "
            "restore it without that setting"
        )
    call_command("migrate", interactive=False, verbosity=0)
    models = list(models_kept())
    with transaction.atomic():
        for model in reversed(models):
            model._default_manager.all().delete()
        with connection.constraint_checks_disabled(), (folder / ROWS).open(encoding="utf-8") as file:
            for row in serializers.deserialize("jsonl", file, handle_forward_references=False):
                row.save()
        connection.check_constraints()
        for sql in connection.ops.sequence_reset_sql(no_style(), models):
            connection.cursor().execute(sql)
    say(f"Put back the rows of {len(models)} tables")
    _end_sessions()


def _end_sessions() -> None:
    apps.get_model("sessions", "Session").objects.all().delete()


def _put_documents(folder: Path) -> None:
    root = Path(settings.MEDIA_ROOT)
    for path in sorted((folder / "documents").rglob("*")) if (folder / "documents").is_dir() else ():
        if path.is_file():
            target = root / path.relative_to(folder / "documents")
            target.parent.mkdir(parents=True, exist_ok=True)
            path.replace(target)
            target.chmod(0o600)
