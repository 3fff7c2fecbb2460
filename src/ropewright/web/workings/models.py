"""What was worked out, kept by what it was worked out from, so that nothing is worked out twice."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

__all__ = ["Working"]


class Working(models.Model):
    """A result. ``key`` is a digest of what it follows from: texts, policy, the program's version.

    What takes seconds is worked out by a process of its own, see `background`: ``asked`` is then what it
    is worked out from, ``claim`` the process that has it and ``beat`` when that last gave a sign; ``done``
    of ``whole`` and ``words`` say how far it is, ``tries`` how often it was begun. Turns follow from ``who``
    waits for it (null: nobody in particular), when somebody ``looked`` last, and when it was ``begun``.
    """

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
    asked = models.JSONField(default=dict)
    claim = models.CharField(max_length=120, blank=True, default="")
    beat = models.DateTimeField(null=True, blank=True)
    done = models.PositiveIntegerField(default=0)
    whole = models.PositiveIntegerField(default=0)
    words = models.CharField(max_length=300, blank=True, default="")
    tries = models.PositiveSmallIntegerField(default=0)
    who = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    looked = models.DateTimeField(null=True, blank=True)
    begun = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = (
            models.Index(fields=("kind", "made")),
            models.Index(fields=("made",), condition=models.Q(state="running"), name="workings_running"),
            models.Index(
                fields=("who", "kind", "begun"),
                condition=models.Q(begun__isnull=False),
                name="workings_served",
            ),
        )

    @property
    def is_done(self) -> bool:
        """Whether the result is there."""
        return self.state == self.State.DONE

    @property
    def has_failed(self) -> bool:
        """Whether it could not be worked out; ``words`` say why."""
        return self.state == self.State.FAILED
