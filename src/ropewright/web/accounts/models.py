"""Who signs in, as what, and the invitations that let somebody make an account."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils import timezone
from django.utils.crypto import salted_hmac
from simple_history.models import HistoricalRecords

from ropewright.web.access import Role

__all__ = ["INVITED_FOR", "RESET_WITHIN", "Account", "Invitation", "fingerprint"]

INVITED_FOR = timedelta(days=14)
RESET_WITHIN = timedelta(days=2)


def fingerprint(secret: str) -> str:
    """The SHA-256 of a secret text: what is stored in its place, so that a stolen store opens nothing."""
    return hashlib.sha256(secret.encode()).hexdigest()


class Account(AbstractUser):
    """Somebody who may sign in. ``person`` is the entry of the roster that is theirs, if any; ``sessions``
    counts how often they signed out everywhere, which ends every session that began before.
    """

    role = models.CharField(max_length=12, choices=Role.choices, default=Role.STUDENT)
    person = models.OneToOneField(
        "people.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="account"
    )
    sessions = models.PositiveIntegerField(default=0, editable=False)
    history = HistoricalRecords(excluded_fields=["password", "last_login", "sessions"])

    class Meta:
        ordering = ("username",)

    def __str__(self) -> str:
        return self.shown

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save it; that somebody signed in is no change of the account, so no history is kept of it."""
        if kwargs.get("update_fields") == ["last_login"]:
            self.skip_history_when_saving = True
        try:
            super().save(*args, **kwargs)
        finally:
            self.__dict__.pop("skip_history_when_saving", None)

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """What a session is tied to: it ends when the password or the count of `sessions` changes."""
        salt = "ropewright.web.accounts.session"
        return salted_hmac(
            salt, f"{self.sessions} {self.password}", secret=secret, algorithm="sha256"
        ).hexdigest()

    @property
    def shown(self) -> str:
        """The name that is printed: the roster's where there is one."""
        return self.person.name if self.person else self.username

    @property
    def role_words(self) -> str:
        """The role in words."""
        return Role(self.role).label


class Invitation(models.Model):
    """A link that works once; its secret is kept as a fingerprint.

    It lets one person make one account, for two weeks; or, where ``account`` is named, choose a new password
    for that one, for two days.
    """

    secret = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=12, choices=Role.choices)
    person = models.ForeignKey("people.Person", null=True, blank=True, on_delete=models.SET_NULL)
    account = models.ForeignKey(
        Account, null=True, blank=True, on_delete=models.CASCADE, related_name="resets"
    )
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
        return self.made + (INVITED_FOR if self.account_id is None else RESET_WITHIN)

    @property
    def open(self) -> bool:
        """Whether it can still be used."""
        if self.account is not None and not self.account.is_active:
            return False
        return self.used is None and self.withdrawn is None and timezone.now() < self.expires

    @property
    def state(self) -> str:
        """How it stands, in a word."""
        if self.used is not None:
            return "used"
        if self.withdrawn is not None:
            return "withdrawn"
        return "open" if self.open else "expired"

    @property
    def role_words(self) -> str:
        """The role in words."""
        return Role(self.role).label
