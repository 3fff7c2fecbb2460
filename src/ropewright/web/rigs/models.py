"""Rigs and their versions."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from ropewright.web.versions.models import FileVersion, VersionedFile

__all__ = ["Rig", "RigCard", "RigSave", "RigVersion"]


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


class RigCard(models.Model):
    """What lists show of a rig, from its last working-out: of which version, by which policy and program.

    A card that doesn't speak of the current version and policy is stale, and lists say so (`cards`).
    ``own_rules``: what the text asks otherwise than the team, ``own_mark`` the same in two words.
    """

    class Verdict(models.TextChoices):
        """What the check said."""

        WITHIN = "within", "within policy"
        OUTSIDE = "outside", "outside policy"
        UNUSABLE = "unusable", "unusable"

    rig = models.OneToOneField(Rig, on_delete=models.CASCADE, related_name="card")
    version = models.PositiveIntegerField()
    policy = models.PositiveIntegerField()
    policy_name = models.CharField(max_length=200, blank=True)
    program = models.CharField(max_length=20)
    verdict = models.CharField(max_length=8, choices=Verdict.choices, db_index=True)
    hauls = models.BooleanField(default=False)
    lowers = models.BooleanField(default=False)
    does = models.CharField(max_length=300, blank=True)
    carries = models.CharField(max_length=300, blank=True)
    own_mark = models.CharField(max_length=40, blank=True)
    own_rules = models.TextField(blank=True)
    stops = models.PositiveIntegerField(default=0)
    cautions = models.PositiveIntegerField(default=0)
    small = models.TextField(blank=True)

    @property
    def shown_of(self) -> str:
        """What the small picture is of, for its address: another version or policy has another address."""
        return f"{self.version}-{self.policy}-{self.program}"


class RigSave(models.Model):
    """A save as a page sent it. One that is sent again has the same key, and makes no second version."""

    file = models.ForeignKey(Rig, on_delete=models.PROTECT, related_name="+")
    author = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=64)
    version = models.ForeignKey(RigVersion, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("author", "key"), name="one_rig_version_a_save"),)
