"""A file and its versions, as rigs and procedures keep them.

The newest version with ``beside`` false is the one that counts. Whoever saves from a version that is no
longer that one gets theirs kept too, beside it, and is told: nothing is overwritten and nothing refused.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models, transaction
from django.utils import timezone

__all__ = ["FileVersion", "VersionedFile"]


class VersionedFile(models.Model):
    """A file by its name. ``title`` and ``latest`` repeat what the current version says, for lists."""

    slug = models.SlugField(max_length=80, unique=True)
    title = models.CharField(max_length=200, blank=True)
    about = models.CharField(max_length=400, blank=True)
    latest = models.PositiveIntegerField(default=0)
    made = models.DateTimeField(default=timezone.now)
    changed = models.DateTimeField(default=timezone.now, db_index=True)
    put_away = models.DateTimeField(null=True, blank=True, db_index=True)

    versions: Any  # the reverse relation of the concrete version's `file`

    class Meta:
        abstract = True
        ordering = ("title", "slug")

    def __str__(self) -> str:
        return self.title or self.slug

    @property
    def current(self) -> Any:
        """The version that counts."""
        return self.versions.get(number=self.latest)

    @transaction.atomic
    def save_version(
        self,
        text: str,
        author: Any,
        *,
        base: int | None = None,
        note: str = "",
        title: str = "",
        about: str = "",
        draft: bool = False,
    ) -> Any:
        """Keep a text as the next version.

        base: the number of the version that the author began from; None takes the current one. Where another
        became current since, the new one is kept beside it (``beside`` true). draft: keep it beside in any
        case where there is one that counts. Two saves at once wait for each other.
        """
        mine = type(self).objects.select_for_update().get(pk=self.pk)  # type: ignore[attr-defined]
        top: int = self.versions.aggregate(top=models.Max("number"))["top"] or 0
        beside = (draft and mine.latest > 0) or (base is not None and base != mine.latest)
        version = self.versions.create(
            number=top + 1,
            text=text,
            author=author,
            base=mine.latest if base is None else base,
            beside=beside,
            note=note,
        )
        if not beside:
            self.latest, self.changed = version.number, version.made
            self.title, self.about = title[:200] or mine.title, about[:400]
            self.save(update_fields=["latest", "changed", "title", "about"])
        return version


class FileVersion(models.Model):
    """One version, never changed once it is saved. The concrete class adds ``file``."""

    number = models.PositiveIntegerField()
    text = models.TextField()
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    made = models.DateTimeField(default=timezone.now)
    base = models.PositiveIntegerField(default=0)
    beside = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True
        ordering = ("-number",)

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save it once; a version that is saved is never written over."""
        if self.pk is not None and not self._state.adding:
            raise TypeError("a version is never changed; save another")
        super().save(*args, **kwargs)
