"""The items of the cache, and where they are."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone
from simple_history.models import HistoricalRecords

from ropewright.web.gear.models.kept import Kept

__all__ = ["Item", "Kit", "Place", "StateChange"]


class Place(models.Model):
    """Where gear is kept."""

    name = models.CharField(max_length=80, unique=True)
    about = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Kit(models.Model):
    """Items that stay together. ``front_line`` kits are on the rig and lent only beyond the reserve."""

    name = models.CharField(max_length=80, unique=True)
    about = models.CharField(max_length=300, blank=True)
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.SET_NULL)
    front_line = models.BooleanField(default=False)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Item(models.Model):
    """One piece of gear, by the mark on it. Figures are what its nameplate says, in SI; None: not stated.

    Its state changes only through `gear.states`, which keeps who, when and why. *Due* is no stored state: an
    item in service whose ``next_due`` has passed is due.
    """

    class State(models.TextChoices):
        """What may be done with it."""

        IN_SERVICE = "in-service", "in service"
        ISSUED = "issued", "issued"
        QUARANTINED = "quarantined", "quarantined"
        RETIRED = "retired", "retired"

    mark = models.CharField("own mark", max_length=40, unique=True)
    type = models.CharField("catalogue type", max_length=60, db_index=True)
    name = models.CharField(max_length=120, blank=True)
    colour = models.CharField(max_length=40, blank=True)
    size = models.CharField(max_length=40, blank=True)
    length = models.FloatField("length, m", null=True, blank=True)
    diameter = models.FloatField("diameter, m", null=True, blank=True)
    material = models.CharField(max_length=60, blank=True)
    textile = models.BooleanField("textile or plastic", default=False)
    standard = models.CharField(max_length=80, blank=True)
    grade = models.CharField("class of the standard", max_length=40, blank=True)
    strength = models.FloatField("breaking strength, N", null=True, blank=True)
    working_load = models.FloatField("working load, N", null=True, blank=True)
    user_mass = models.FloatField("user limit, kg", null=True, blank=True)
    serial = models.CharField("lot or serial", max_length=60, blank=True)
    supplier = models.CharField(max_length=80, blank=True)
    made = models.DateField(null=True, blank=True)
    bought = models.DateField(null=True, blank=True)
    first_used = models.DateField(null=True, blank=True)
    instructions = models.BooleanField("maker's instructions on file", default=False)
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.SET_NULL, related_name="items")
    kit = models.ForeignKey(Kit, null=True, blank=True, on_delete=models.SET_NULL, related_name="items")
    cut_from = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="pieces"
    )
    front_line = models.BooleanField("counts to the front-line reserve", default=False)
    note = models.TextField(blank=True, max_length=2000)
    state = models.CharField(max_length=12, choices=State.choices, default=State.IN_SERVICE)
    reason = models.CharField("why it is so", max_length=300, blank=True)
    inspected = models.DateField("last inspected", null=True, blank=True)
    next_due = models.DateField(null=True, blank=True)
    entered = models.DateTimeField(default=timezone.now)
    history = HistoricalRecords()

    class Meta:
        ordering = ("mark",)
        indexes = (
            models.Index(fields=("state", "next_due")),
            models.Index(fields=("type", "state")),
        )

    def __str__(self) -> str:
        return self.mark

    @property
    def due(self) -> bool:
        """Whether its inspection is due: the date has passed, or nobody ever set one."""
        return self.state in (self.State.IN_SERVICE, self.State.ISSUED) and (
            self.next_due is None or self.next_due < timezone.localdate()
        )

    @property
    def shown_state(self) -> str:
        """Its state in words, *due* included."""
        return "due" if self.due and self.state == self.State.IN_SERVICE else self.State(self.state).label


class StateChange(Kept):
    """An item's state changed: from what to what, why, by whom, and because of what."""

    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="changes")
    before = models.CharField(max_length=12, blank=True)
    after = models.CharField(max_length=12)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    event = models.ForeignKey(
        "Event", null=True, blank=True, on_delete=models.PROTECT, related_name="changes"
    )
    inspection = models.ForeignKey(
        "Inspection", null=True, blank=True, on_delete=models.PROTECT, related_name="changes"
    )

    class Meta:
        ordering = ("-at", "-pk")
