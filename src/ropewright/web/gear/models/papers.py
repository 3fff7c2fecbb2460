"""Photographs and documents about items, inspections and people."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from ropewright.web.gear.models.inspections import Inspection
from ropewright.web.gear.models.items import Item

__all__ = ["Document"]


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
