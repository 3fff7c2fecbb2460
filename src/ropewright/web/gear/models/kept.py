"""Lines that are written once and never changed."""

from __future__ import annotations

from typing import Any

from django.db import models

__all__ = ["Kept"]


class Kept(models.Model):
    """A line that is written once: what comes later is another line, never a change of this one."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save it once."""
        if self.pk is not None and not self._state.adding:
            raise TypeError(f"a saved {self._meta.verbose_name} is never changed; add another")
        super().save(*args, **kwargs)
