"""The gear cache: items, what was done with them, what was found on them, and where they are."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone
from simple_history.models import HistoricalRecords

__all__ = [
    "Document",
    "Event",
    "EventItem",
    "Finding",
    "Inspection",
    "Issue",
    "IssuedItem",
    "Item",
    "Kit",
    "Place",
    "StateChange",
    "Use",
]


class _Kept(models.Model):
    """A line that is written once: what comes later is another line, never a change of this one."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save it once."""
        if self.pk is not None and not self._state.adding:
            raise TypeError(f"a saved {self._meta.verbose_name} is never changed; add another")
        super().save(*args, **kwargs)


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
        constraints = (models.UniqueConstraint(fields=("issue", "item"), name="an_item_once_in_an_issue"),)


class Use(_Kept):
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


class EventItem(_Kept):
    """An item that was there when an event happened, and what state it was found in as it was reported."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="lines")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="events")
    before = models.CharField(max_length=12)

    class Meta:
        ordering = ("item__mark",)
        constraints = (models.UniqueConstraint(fields=("event", "item"), name="an_item_once_in_an_event"),)


class Inspection(_Kept):
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


class StateChange(_Kept):
    """An item's state changed: from what to what, why, by whom, and because of what."""

    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="changes")
    before = models.CharField(max_length=12, blank=True)
    after = models.CharField(max_length=12)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    event = models.ForeignKey(Event, null=True, blank=True, on_delete=models.PROTECT, related_name="changes")
    inspection = models.ForeignKey(
        Inspection, null=True, blank=True, on_delete=models.PROTECT, related_name="changes"
    )

    class Meta:
        ordering = ("-at", "-pk")


class Document(models.Model):
    """A photograph or document about an item, an inspection or a person, checked before it is kept.

    ``file`` lies under a random name; ``name`` is what it is called when it is taken out again. One that is
    withdrawn stays, with who withdrew it, when and why.
    """

    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.PROTECT, related_name="documents")
    inspection = models.ForeignKey(
        Inspection, null=True, blank=True, on_delete=models.PROTECT, related_name="documents"
    )
    person = models.ForeignKey(
        "people.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="documents"
    )
    title = models.CharField(max_length=120)
    name = models.CharField("name of the file", max_length=120, default="document")
    file = models.FileField(upload_to="%Y/%m/")
    kind = models.CharField(max_length=40)
    size = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    added = models.DateTimeField(default=timezone.now)
    withdrawn = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    withdrawn_why = models.CharField("why it is withdrawn", max_length=300, blank=True)

    class Meta:
        ordering = ("-added", "-pk")
        constraints = (
            models.CheckConstraint(
                condition=models.Q(item__isnull=False, inspection__isnull=True, person__isnull=True)
                | models.Q(item__isnull=True, inspection__isnull=False, person__isnull=True)
                | models.Q(item__isnull=True, inspection__isnull=True, person__isnull=False),
                name="a_document_is_about_one_thing",
            ),
        )

    def __str__(self) -> str:
        return self.title
