"""Whether what a backup says of itself, and the database in it, are this program's, whole, and of use."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from django.db.migrations.loader import MigrationLoader

from ropewright import __version__
from ropewright.web.storing.members import ABOUT, DATABASE, ROWS, StoreError

__all__ = ["NO_ACCOUNT", "check_about", "check_age", "check_sqlite"]

OURS = {"django_migrations", "accounts_account", "policy_policyversion", "gear_item", "rigs_rig"}
NO_ACCOUNT = "holds no account: whoever opened it first would become its lead instructor"


def check_about(about: dict[str, Any], source: Path) -> None:
    """Refuse a file that does not say what it holds. Errors: StoreError."""
    right = {
        "database": about.get("database") in ("sqlite", "postgresql"),
        "program": isinstance(about.get("program"), str),
        "migrations": _pairs(about.get("migrations")),
    }
    wrong = [f"'{key}'" for key, is_right in right.items() if not is_right]
    if wrong:
        raise StoreError(
            f"{source} is damaged: its {ABOUT} does not say {' and '.join(wrong)} as a backup does"
        )
    held, taken = (ROWS, "PostgreSQL") if about["database"] == "postgresql" else (DATABASE, "SQLite")
    if held not in about["digests"]:
        raise StoreError(f"{source} is damaged: it was taken from {taken} and holds no {held}")


def _pairs(found: object) -> bool:
    pairs = found if isinstance(found, list) else [None]
    return all(isinstance(p, list) and len(p) == 2 and all(isinstance(x, str) for x in p) for p in pairs)


def check_age(migrations: list[Any], program: str, source: Path) -> None:
    """Refuse a backup with tables that this program does not know. Errors: StoreError."""
    known = set(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)
    newer = [tuple(pair) for pair in migrations if tuple(pair) not in known]
    if newer:
        app, name = newer[0]
        raise StoreError(
            f"{source} is from a newer program ({program}; this one is {__version__}): it knows "
            f"'{app} {name}'. Update this program first"
        )


def check_sqlite(path: Path, source: Path) -> list[tuple[str, str]]:
    """Make sure that a database is sound, ours and holds somebody; give its migrations.

    Errors: StoreError.
    """
    try:
        with closing(sqlite3.connect(path)) as database:
            said = [row[0] for row in database.execute("PRAGMA integrity_check(5)")]
            broken = database.execute("PRAGMA foreign_key_check").fetchone()
            if said != ["ok"] or broken:
                found = said[0] if said != ["ok"] else f"a row of '{broken[0]}' points to nothing"
                raise StoreError(f"{source} holds a damaged database: {found}")
            tables = {row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type='table'")}
            if not tables >= OURS:
                lacking = min(OURS - tables)
                raise StoreError(
                    f"{source} holds no database of this program: it has {len(tables)} tables, and "
                    f"'{lacking}' is not among them"
                )
            if not database.execute("SELECT count(*) FROM accounts_account").fetchone()[0]:
                raise StoreError(f"{source} {NO_ACCOUNT}")
            return list(database.execute("SELECT app, name FROM django_migrations"))
    except sqlite3.DatabaseError as error:
        raise StoreError(f"{source} holds a damaged database: {error}") from None
