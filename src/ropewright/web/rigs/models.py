"""Rigs and their versions."""

from __future__ import annotations

from django.db import models

from ropewright.web.versions.models import FileVersion, VersionedFile

__all__ = ["Rig", "RigVersion"]


class Rig(VersionedFile):
    """A rig by its name; `NAME.rig.yaml` is what a procedure calls it."""

    @property
    def file_name(self) -> str:
        """The name of its file."""
        return f"{self.slug}.rig.yaml"


class RigVersion(FileVersion):
    """One version of a rig's text."""

    file = models.ForeignKey(Rig, on_delete=models.PROTECT, related_name="versions")

    class Meta(FileVersion.Meta):
        abstract = False
        constraints = (models.UniqueConstraint(fields=("file", "number"), name="one_rig_version_a_number"),)
