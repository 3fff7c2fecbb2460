"""Forms of accounts. What a password must be is said before it is typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import (
    AuthenticationForm,
    BaseUserCreationForm,
    PasswordChangeForm,
    SetPasswordForm,
)

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.fields import PlainLine
from ropewright.web.people.models import Person
from ropewright.web.policy.form import UNITS_FIRST
from ropewright.web.policy.zones import zone_names

__all__ = [
    "FirstAccountForm",
    "InvitationForm",
    "JoinForm",
    "NewPasswordForm",
    "OwnPasswordForm",
    "PersonForm",
    "RoleForm",
    "SignInForm",
]

_SIGN_IN_NAME = "Name to sign in with"


class SignInForm(AuthenticationForm):
    """Name and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Name"


class JoinForm(BaseUserCreationForm):  # type: ignore[type-arg]
    """A name that nobody else has, and a password, twice."""

    class Meta:
        model = Account
        fields = ("username",)
        labels = {"username": _SIGN_IN_NAME}
        help_texts = {"username": "Letters, digits and @ . + - _, no spaces."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password2"].label = "The same password again"
        self.fields["password2"].help_text = ""

    def clean_username(self) -> str:
        """Refuse a name that differs from another by capitals alone."""
        name: str = self.cleaned_data["username"]
        if Account.objects.filter(username__iexact=name).exists():
            raise forms.ValidationError(f"Somebody signs in as ‘{name}’ already; choose another name.")
        return name


class FirstAccountForm(JoinForm):
    """The first lead instructor, and what the team is called, where it is and what it reads."""

    own_name = PlainLine(label="Your name, as it stands on the roster", max_length=80)
    team = PlainLine(label="The team's name", max_length=110)
    zone = forms.ChoiceField(label="Time zone", choices=lambda: [(z, z) for z in zone_names()], initial="UTC")
    units = forms.ChoiceField(
        label="Shown first", choices=UNITS_FIRST, help_text="Both systems are always printed."
    )
    field_order = ("team", "zone", "units", "own_name", "username", "password1", "password2")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["zone"].widget.attrs["data-zone"] = ""
        self.fields["username"].widget.attrs.pop("autofocus", None)
        self.fields["team"].widget.attrs["autofocus"] = True


class NewPasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    """A new password, twice."""


class OwnPasswordForm(PasswordChangeForm):
    """The old password, then the new one twice."""


class InvitationForm(forms.Form):
    """Whom a link is for."""

    role = forms.ChoiceField(label="Role", choices=Role.choices, initial=Role.STUDENT)
    person = forms.ModelChoiceField(
        label="On the roster",
        queryset=Person.objects.none(),
        required=False,
        empty_label="nobody of the roster",
        help_text="The account then is this person's: they see their own entry.",
    )
    note = PlainLine(label="Note", max_length=120, required=False, help_text="For your own list.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people: Any = self.fields["person"]
        people.queryset = Person.objects.filter(active=True, account=None)


class RoleForm(forms.Form):
    """A role."""

    role = forms.ChoiceField(label="Role", choices=Role.choices)


class PersonForm(forms.Form):
    """The entry of the roster that an account is."""

    person = forms.ModelChoiceField(
        label="On the roster",
        queryset=Person.objects.none(),
        required=False,
        empty_label="nobody of the roster",
    )

    def __init__(self, account: Account, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["person"] = account.person_id
        people: Any = self.fields["person"]
        people.queryset = Person.objects.filter(active=True, account=None) | Person.objects.filter(
            account=account
        )
