"""Plans: which rigs, how many of each, on which day."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

__all__ = ["Plan", "PlanExtra", "PlanLine"]


class Plan(models.Model):
    """What is to be rigged on one day, and by how many people it is taught.

    ``people`` go on rope, ``instructors`` teach them; the counts are of those who are on no roster.
    ``groups``: how many work at the same time, one for each station where nobody says. ``work``: the policy's
    word for the kind of work whose ratio counts. ``lend``: the front line may be lent, down to its reserve.
    ``saves``: how often it was kept, which tells two people apart who change it at once. ``issues``: the gear
    that was given out for it.
    """

    title = models.CharField(max_length=120)
    day = models.DateField()
    people = models.ManyToManyField("people.Person", blank=True, related_name="plans")
    instructors = models.ManyToManyField("people.Person", blank=True, related_name="plans_taught")
    more_people = models.PositiveIntegerField(default=0, validators=[MaxValueValidator(500)])
    more_instructors = models.PositiveIntegerField(default=0, validators=[MaxValueValidator(100)])
    groups = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(50)]
    )
    work = models.CharField(max_length=60, blank=True)
    lend = models.BooleanField(default=False)
    note = models.TextField(blank=True, max_length=2000)
    issues = models.ManyToManyField("gear.Issue", blank=True, related_name="plans")
    saves = models.PositiveIntegerField(default=0)
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


class PlanExtra(models.Model):
    """Gear that a plan takes beside its rigs: manikins, spares, a litter that no rig's text has."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="extras")
    type = models.CharField(max_length=60)
    count = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(500)])
    length = models.FloatField(null=True, blank=True)
    size = models.CharField(max_length=40, blank=True)
    station = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ("pk",)
