"""Backup and restore: one file that holds the whole store, taken while it runs, checked before it goes back.

The file is a ZIP archive: `about.json` (what it is, from which version, the digest of each member), the
database (SQLite: a copy taken by its own online backup; PostgreSQL: its rows, one in a line) and documents.
"""

from ropewright.web.storing.backup import backup
from ropewright.web.storing.members import StoreError
from ropewright.web.storing.restore import restore
from ropewright.web.storing.swap import half_done, settle

__all__ = ["StoreError", "backup", "half_done", "restore", "settle"]
