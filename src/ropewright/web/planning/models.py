"""Plans: which rigs, how many of each, on which day."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

__all__ = ["Plan", "PlanLine"]


class Plan(models.Model):
    """What is to be rigged on one day, and by how many people it is taught."""

    title = models.CharField(max_length=120)
    day = models.DateField()
    people = models.ManyToManyField("people.Person", blank=True, related_name="plans")
    note = models.TextField(blank=True, max_length=2000)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-day", "title")

    def __str__(self) -> str:
        return self.title


class PlanLine(models.Model):
    """One rig of a plan, and how many of it."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="lines")
    rig = models.ForeignKey("rigs.Rig", on_delete=models.PROTECT, related_name="+")
    count = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(50)])
    station = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ("pk",)
