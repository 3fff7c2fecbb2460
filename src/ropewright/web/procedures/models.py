"""Procedures and their versions."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from ropewright.web.versions.models import FileVersion, VersionedFile

__all__ = ["Procedure", "ProcedureSave", "ProcedureVersion"]


class Procedure(VersionedFile):
    """A procedure by its name. ``rig_slug`` is the rig that its current version starts from."""

    rig_slug = models.CharField(max_length=80, blank=True, db_index=True)

    @property
    def file_name(self) -> str:
        """The name of its file."""
        return f"{self.slug}.procedure.yaml"


class ProcedureVersion(FileVersion):
    """One version of a procedure's text."""

    file = models.ForeignKey(Procedure, on_delete=models.PROTECT, related_name="versions")

    class Meta(FileVersion.Meta):
        abstract = False
        constraints = (
            models.UniqueConstraint(fields=("file", "number"), name="one_procedure_version_a_number"),
        )


class ProcedureSave(models.Model):
    """A save as a page sent it. One that is sent again has the same key, and makes no second version."""

    file = models.ForeignKey(Procedure, on_delete=models.PROTECT, related_name="+")
    author = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=64)
    version = models.ForeignKey(ProcedureVersion, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("author", "key"), name="one_procedure_version_a_save"),
        )
