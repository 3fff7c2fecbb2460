"""The roster: who is in the team, what the engine needs to know of them, and what they have shown."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone
from simple_history.models import HistoricalRecords

from ropewright.effort.roster import LEAST_MASS, MOST_MASS

__all__ = ["Person", "Prerequisite", "SkillHeld"]


class Person(models.Model):
    """Somebody on the roster. Mass, pull, reach and limits are private: `access.sees_mass` decides.

    mass [kg] with everything worn; pull [N] and reach [m of rope for each pull] where they were measured.
    ``duty`` is a role word of the engine's (safety officers never haul), free text beside.
    """

    name = models.CharField(max_length=80)
    mark = models.CharField("own number", max_length=30, blank=True)
    duty = models.CharField(max_length=60, blank=True)
    agency = models.CharField(max_length=80, blank=True)
    mass = models.FloatField(
        "mass with gear, kg",
        null=True,
        blank=True,
        validators=[MinValueValidator(LEAST_MASS), MaxValueValidator(MOST_MASS)],
    )
    weighed = models.DateField(null=True, blank=True)
    reach = models.FloatField(
        "rope for each pull, m",
        null=True,
        blank=True,
        validators=[MinValueValidator(0.1), MaxValueValidator(3)],
    )
    pull = models.FloatField(
        "measured pull, N", null=True, blank=True, validators=[MinValueValidator(10), MaxValueValidator(2000)]
    )
    pull_measured = models.DateField(null=True, blank=True)
    limits = models.TextField("limits", blank=True, max_length=1000)
    on_rope = models.BooleanField("goes on rope", default=True)
    hauls = models.BooleanField("hauls", default=True)
    active = models.BooleanField(default=True)
    note = models.TextField(blank=True, max_length=2000)
    history = HistoricalRecords()

    class Meta:
        ordering = ("name",)
        indexes = (models.Index(fields=("active", "name")),)

    def __str__(self) -> str:
        return self.name


class Prerequisite(models.Model):
    """Something that a person must have before they train: a medical, a certificate; with its expiry."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="prerequisites")
    kind = models.CharField(max_length=80)
    got = models.DateField(null=True, blank=True)
    expires = models.DateField(null=True, blank=True, db_index=True)
    note = models.CharField(max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ("kind", "-expires")

    def __str__(self) -> str:
        return self.kind

    @property
    def current(self) -> bool:
        """Whether it holds today; one without a date of expiry holds until somebody says otherwise."""
        return self.expires is None or self.expires >= timezone.localdate()


class SkillHeld(models.Model):
    """A skill that a person has shown, when it was last seen, and who says so."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="skills")
    skill = models.CharField(max_length=120)
    since = models.DateField()
    verified = models.DateField("last seen", null=True, blank=True)
    source = models.CharField("where that is written", max_length=200, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    history = HistoricalRecords(excluded_fields=["entered_by"])

    class Meta:
        ordering = ("skill",)
        constraints = (models.UniqueConstraint(fields=("person", "skill"), name="one_entry_a_skill"),)

    def __str__(self) -> str:
        return self.skill
