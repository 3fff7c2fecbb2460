"""Tokens by which a program reads what its owner may read."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

__all__ = ["Token"]


class Token(models.Model):
    """A secret for one program; only its fingerprint is kept."""

    account = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField("what it is for", max_length=80)
    secret = models.CharField(max_length=64, unique=True)
    made = models.DateTimeField(default=timezone.now)
    used = models.DateTimeField(null=True, blank=True)
    expires = models.DateTimeField(null=True, blank=True)
    revoked = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-made",)
