"""Taking a backup while the app runs."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import tempfile
import zipfile
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder

from ropewright import __version__
from ropewright.web.storing.members import ABOUT, DATABASE, DOCUMENTS, FORMAT, ROWS, StoreError, models_kept
from ropewright.web.storing.sound import check_sqlite

__all__ = ["backup"]


def backup(target: Path) -> int:
    """Write the whole store to a file; give how many documents went with it.

    Taken while the app runs: the database as of one moment first, then the documents, of which no row of that
    moment can lack its file (files are written before their rows). The file appears whole or not at all.
    """
    if target.exists():
        raise StoreError(f"{target} is there already; name a new file")
    _check_that_somebody_is_there()
    digests: dict[str, str] = {}
    part = target.with_name(f".{target.name}.part")
    try:
        with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED, allowZip64=True) as archive:
            _add_database(archive, digests)
            documents = _add_documents(archive, digests)
            archive.writestr(ABOUT, json.dumps(_about(digests), indent=1))
        part.chmod(0o600)  # it holds masses and documents
        with part.open("rb") as file:
            os.fsync(file.fileno())
        part.replace(target)
    except (OSError, ValueError, sqlite3.OperationalError) as error:
        raise StoreError(f"{target} can't be written: {_first_cause(error)}") from None
    except sqlite3.DatabaseError as error:
        raise StoreError(f"{_store()} can't be read: {error}") from None
    finally:
        part.unlink(missing_ok=True)
    return documents


def _first_cause(error: BaseException) -> str:
    """What went wrong first: closing an archive that could not be written fails once more, in other words."""
    while error.__context__ is not None:
        error = error.__context__
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def _store() -> str:
    """The store by the name under which somebody finds it."""
    name = settings.DATABASES["default"]["NAME"]
    return str(name) if settings.ENVIRONMENT.store_file else f"the PostgreSQL database '{name}'"


def _check_that_somebody_is_there() -> None:
    """Refuse a store that is none: a typing error in the folder's name would give a backup of nothing."""
    path = Path(settings.DATABASES["default"]["NAME"])
    if connection.vendor == "sqlite" and not path.is_file():
        raise StoreError(f"{path.parent} holds no store: there is no {path.name} in it")
    if "accounts_account" not in connection.introspection.table_names():
        raise StoreError(f"{_store()} is no store of this program: it has no accounts")
    somebody = apps.get_model("accounts", "Account").objects.exists()
    if not somebody:
        raise StoreError(f"{_store()} holds no account yet: there is nothing to back up")


def _about(digests: dict[str, str]) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "program": __version__,
        "made": datetime.now(UTC).isoformat(timespec="seconds"),
        "database": connection.vendor,
        "migrations": sorted(map(list, MigrationRecorder(connection).applied_migrations())),
        "digests": digests,
    }


def _add_database(archive: zipfile.ZipFile, digests: dict[str, str]) -> None:
    with tempfile.TemporaryDirectory(dir=settings.ENVIRONMENT.home) as folder:
        if connection.vendor == "sqlite":
            copy = Path(folder) / DATABASE
            with closing(sqlite3.connect(copy)) as into:
                connection.ensure_connection()
                connection.connection.backup(into)
            check_sqlite(copy, Path(_store()))
        else:
            copy = Path(folder) / ROWS
            with copy.open("w", encoding="utf-8") as file:
                _write_rows(file)
        _add(archive, copy, copy.name, digests)


def _write_rows(file: IO[str]) -> None:
    """Every row of every table that is ours, as of one moment."""
    with transaction.atomic():
        if connection.vendor == "postgresql":
            connection.cursor().execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        for model in models_kept():
            rows = model._default_manager.order_by("pk").iterator(chunk_size=2000)
            for row in rows:
                file.write(serializers.serialize("jsonl", [row]))


def _add_documents(archive: zipfile.ZipFile, digests: dict[str, str]) -> int:
    root = Path(settings.MEDIA_ROOT)
    found = sorted(path for path in root.rglob("*") if path.is_file()) if root.is_dir() else []
    for path in found:
        _add(archive, path, DOCUMENTS + path.relative_to(root).as_posix(), digests)
    return len(found)


def _add(archive: zipfile.ZipFile, path: Path, name: str, digests: dict[str, str]) -> None:
    seen = hashlib.sha256()
    with path.open("rb") as source, archive.open(name, "w", force_zip64=True) as into:
        while block := source.read(1 << 20):
            seen.update(block)
            into.write(block)
    digests[name] = seen.hexdigest()
