"""Forms of accounts."""

from __future__ import annotations

from django.contrib.auth.forms import AuthenticationForm, BaseUserCreationForm

from ropewright.web.accounts.models import Account

__all__ = ["FirstAccountForm", "SignInForm"]


class SignInForm(AuthenticationForm):
    """Name and password."""


class FirstAccountForm(BaseUserCreationForm):  # type: ignore[type-arg]
    """The first lead instructor: a name and a password, twice."""

    class Meta:
        model = Account
        fields = ("username", "email")
