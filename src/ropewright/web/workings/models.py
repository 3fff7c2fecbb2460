"""What was worked out, kept by what it was worked out from, so that nothing is worked out twice."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

__all__ = ["Working"]


class Working(models.Model):
    """A result. ``key`` is a digest of what it follows from: texts, policy, the program's version."""

    class State(models.TextChoices):
        """How far it is."""

        RUNNING = "running"
        DONE = "done"
        FAILED = "failed"

    key = models.CharField(max_length=64, primary_key=True)
    kind = models.CharField(max_length=30)
    state = models.CharField(max_length=8, choices=State.choices, default=State.DONE)
    data = models.JSONField(default=dict)
    made = models.DateTimeField(default=timezone.now, db_index=True)
    seconds = models.FloatField(default=0.0)

    class Meta:
        indexes = (models.Index(fields=("kind", "made")),)
