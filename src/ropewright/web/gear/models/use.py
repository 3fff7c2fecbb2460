"""What items were given out for, what was done with them, and what befell them."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from ropewright.web.gear.models.items import Item
from ropewright.web.gear.models.kept import Kept

__all__ = ["Event", "EventItem", "Issue", "IssuedItem", "Use"]


class Issue(models.Model):
    """Gear given out together for one use: a rig rigged, a class, a call."""

    what = models.CharField("what for", max_length=160)
    rig_version = models.ForeignKey(
        "rigs.RigVersion", null=True, blank=True, on_delete=models.PROTECT, related_name="issues"
    )
    given = models.DateTimeField(default=timezone.now, db_index=True)
    given_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    taken_by = models.ForeignKey(
        "people.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    until = models.DateField("wanted back", null=True, blank=True)
    closed = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-given",)

    def __str__(self) -> str:
        return self.what


class IssuedItem(models.Model):
    """An item in an issue, and the part of the rig that it was."""

    issue = models.ForeignKey(Issue, on_delete=models.CASCADE, related_name="lines")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="issues")
    part = models.CharField("part of the rig", max_length=80, blank=True)
    back = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("item__mark",)
        constraints = (
            models.UniqueConstraint(fields=("issue", "item"), name="an_item_once_in_an_issue"),
            models.UniqueConstraint(
                fields=("item",), condition=models.Q(back=None), name="an_item_out_with_one_issue"
            ),
        )


class Use(Kept):
    """A line of the use log of one item. A wrong line stays: the line that ``corrects`` it counts instead."""

    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="uses")
    day = models.DateField(db_index=True)
    what = models.CharField("incident or class", max_length=160)
    place = models.CharField(max_length=80, blank=True)
    hours = models.FloatField(null=True, blank=True)
    drops = models.PositiveIntegerField(null=True, blank=True)
    load = models.FloatField("greatest load, N", null=True, blank=True)
    wet = models.BooleanField(default=False)
    heat = models.BooleanField(default=False)
    chemical = models.BooleanField(default=False)
    exposure = models.CharField(max_length=200, blank=True)
    issue = models.ForeignKey(Issue, null=True, blank=True, on_delete=models.SET_NULL, related_name="uses")
    corrects = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrected_by"
    )
    why = models.CharField("why it is corrected", max_length=200, blank=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-day", "-pk")


class Event(models.Model):
    """Something that happened in use and puts every item that was there in doubt."""

    class Kind(models.TextChoices):
        """What it was."""

        FALL = "fall", "a fall or a caught load"
        SHOCK = "shock", "a shock load"
        OVERLOAD = "overload", "more load than planned"
        HEAT = "heat", "heat"
        CHEMICAL = "chemical", "chemical contact"
        EDGE = "edge", "rope or sling over a sharp edge"
        DROPPED = "dropped", "dropped from height"
        OTHER = "other", "something else"

    kind = models.CharField(max_length=12, choices=Kind.choices)
    day = models.DateField()
    text = models.TextField("what happened", max_length=4000)
    issue = models.ForeignKey(Issue, null=True, blank=True, on_delete=models.PROTECT, related_name="events")
    reported_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reported = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-reported",)

    def __str__(self) -> str:
        return f"{self.Kind(self.kind).label}, {self.day}"


class EventItem(Kept):
    """An item that was there when an event happened, and what state it was found in as it was reported."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="lines")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="events")
    before = models.CharField(max_length=12)

    class Meta:
        ordering = ("item__mark",)
        constraints = (models.UniqueConstraint(fields=("event", "item"), name="an_item_once_in_an_event"),)
