"""What was found on items, by whom, and what followed."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from ropewright.web.gear.models.items import Item
from ropewright.web.gear.models.kept import Kept

__all__ = ["Finding", "Inspection"]


class Inspection(Kept):
    """One look at one item by a competent person. Never changed; a later one says more."""

    class Level(models.TextChoices):
        """How thorough, and why."""

        BEFORE = "before", "before use"
        AFTER = "after", "after use"
        PERIODIC = "periodic", "periodic"
        DETAILED = "detailed", "detailed"
        EVENT = "event", "after an event"

    class Verdict(models.TextChoices):
        """What follows."""

        FIT = "fit", "fit for service"
        WATCH = "watch", "fit, to be watched"
        QUARANTINE = "quarantine", "quarantine"
        RETIRE = "retire", "retire"

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="inspections")
    level = models.CharField(max_length=12, choices=Level.choices)
    day = models.DateField()
    verdict = models.CharField(max_length=12, choices=Verdict.choices)
    inspector = models.CharField("competent person", max_length=80)
    next_due = models.DateField(null=True, blank=True)
    interval_source = models.CharField(max_length=300, blank=True)
    note = models.TextField(blank=True, max_length=2000)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-day", "-pk")


class Finding(models.Model):
    """One point of the checklist and what was seen there."""

    class Result(models.TextChoices):
        """What was seen."""

        GOOD = "good", "good"
        WATCH = "watch", "to be watched"
        BAD = "bad", "not fit"
        NOT_SEEN = "not-seen", "not looked at"

    inspection = models.ForeignKey(Inspection, on_delete=models.CASCADE, related_name="findings")
    point = models.CharField(max_length=120)
    result = models.CharField(max_length=8, choices=Result.choices)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ("pk",)
