"""What a backup's file is made of, known to both who writes it and who reads it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.core import serializers

from ropewright.errors import RopewrightError

__all__ = ["ABOUT", "DATABASE", "DOCUMENTS", "FORMAT", "ROWS", "StoreError", "models_kept"]

FORMAT = 1
ABOUT, DATABASE, ROWS, DOCUMENTS = "about.json", "database.sqlite3", "rows.jsonl", "documents/"
_LEFT_OUT = ("sessions", "contenttypes", "axes")


class StoreError(RopewrightError):
    """A backup that can't be made or can't be put back, with what was found."""


def models_kept() -> Iterator[Any]:
    """The models whose rows are kept, those that others point to first. Sessions end with a restore."""
    every = [app for app in apps.get_app_configs() if app.label not in _LEFT_OUT]
    models = serializers.sort_dependencies([(app, None) for app in every], allow_cycles=True)
    yield from (model for model in models if not model._meta.proxy and model._meta.managed)
