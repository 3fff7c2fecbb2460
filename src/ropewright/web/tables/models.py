"""A table that was sent and waits for somebody to confirm its preview."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone

__all__ = ["KEPT_FOR", "Upload"]

KEPT_FOR = timedelta(days=1)


class Upload(models.Model):
    """A table between its upload and its confirmation; only whoever sent it sees it.

    ``table`` is the table as read. It is emptied as soon as the rows are taken in or thrown away, and the
    whole entry goes after a day. ``manner`` and ``chosen`` are how its cells and columns are to be taken.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    book = models.CharField("what it is taken into", max_length=12)
    name = models.CharField("name of the file", max_length=120)
    sent_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    sent = models.DateTimeField(default=timezone.now, db_index=True)
    table: Any = models.JSONField(default=dict)
    manner: Any = models.JSONField(default=dict)
    chosen: Any = models.JSONField(default=dict)
    taken = models.DateTimeField(null=True, blank=True)
    result = models.CharField("what was taken in", max_length=200, blank=True)

    class Meta:
        ordering = ("-sent",)

    def __str__(self) -> str:
        return self.name
