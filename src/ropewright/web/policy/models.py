"""The team's rules, in versions: what each number is, and where it came from."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

__all__ = ["PolicyVersion"]


class PolicyVersion(models.Model):
    """One version of the rules, never changed once it is saved; the one with the greatest number counts.

    rules: by the rig file's policy keys, each {"value": in SI or null, "source": words}; null asks for
    nothing. words: the team's own words for what is called, by the trade's. intervals: days between
    inspections by family or type of gear, and the life of textiles (`textile-life`), each {"days": n,
    "source": words}. ratios: students for one instructor by kind of work, each {"students": n, "source":
    words}. reserve: what stays on the rig, [{"type", "length" [m] or null, "count"}]. retention: years that
    records are kept, each {"years": n, "source": words}; what is not named is kept for good.
    """

    number = models.PositiveIntegerField(unique=True)
    name = models.CharField(max_length=120)
    team = models.CharField("the team's name", max_length=120)
    zone = models.CharField("time zone", max_length=60, default="UTC")
    units = models.CharField(
        "units shown first", max_length=6, default="metric", choices=(("metric", "metric"), ("us", "US"))
    )
    edition = models.CharField("standard and its edition", max_length=160, blank=True)
    rules = models.JSONField(default=dict)
    words = models.JSONField(default=dict)
    intervals = models.JSONField(default=dict)
    ratios = models.JSONField(default=dict)
    reserve = models.JSONField(default=list)
    retention = models.JSONField(default=dict)
    note = models.CharField("what was changed, and why", max_length=400, blank=True)
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    made = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-number",)

    def __str__(self) -> str:
        return f"{self.name}, version {self.number}"
