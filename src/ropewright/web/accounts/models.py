"""Who signs in, as what, and the invitations that let somebody make an account."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils import timezone
from simple_history.models import HistoricalRecords

from ropewright.web.access import Role

__all__ = ["INVITED_FOR", "Account", "Invitation", "fingerprint"]

INVITED_FOR = timedelta(days=14)


def fingerprint(secret: str) -> str:
    """The SHA-256 of a secret text: what is stored in its place, so that a stolen store opens nothing."""
    return hashlib.sha256(secret.encode()).hexdigest()


class Account(AbstractUser):
    """Somebody who may sign in. ``person`` is the entry of the roster that is theirs, if any."""

    role = models.CharField(max_length=12, choices=Role.choices, default=Role.STUDENT)
    person = models.OneToOneField(
        "people.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="account"
    )
    history = HistoricalRecords(excluded_fields=["password", "last_login"])

    class Meta:
        ordering = ("username",)

    def __str__(self) -> str:
        return self.shown

    @property
    def shown(self) -> str:
        """The name that is printed: the roster's where there is one."""
        return self.person.name if self.person else self.username

    @property
    def role_words(self) -> str:
        """The role in words."""
        return Role(self.role).label


class Invitation(models.Model):
    """A link that lets one person make one account, for two weeks; its secret is kept as a fingerprint."""

    secret = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=12, choices=Role.choices)
    person = models.ForeignKey("people.Person", null=True, blank=True, on_delete=models.SET_NULL)
    note = models.CharField(max_length=120, blank=True)
    made_by = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="invitations")
    made = models.DateTimeField(default=timezone.now)
    withdrawn = models.DateTimeField(null=True, blank=True)
    used = models.DateTimeField(null=True, blank=True)
    used_by = models.OneToOneField(
        Account, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ("-made",)

    @staticmethod
    def new_secret() -> str:
        """A secret that nobody guesses."""
        return secrets.token_urlsafe(32)

    @property
    def expires(self) -> datetime:
        """When it stops working."""
        return self.made + INVITED_FOR

    @property
    def open(self) -> bool:
        """Whether it can still be used."""
        return self.used is None and self.withdrawn is None and timezone.now() < self.made + INVITED_FOR
