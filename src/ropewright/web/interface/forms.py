"""Forms of the interface."""

from __future__ import annotations

from django import forms

__all__ = ["TokenForm"]


class TokenForm(forms.Form):
    """What a token is for, and how long it is good for."""

    name = forms.CharField(label="What it is for", max_length=80)
    days = forms.TypedChoiceField(
        label="Good for",
        choices=((30, "30 days"), (365, "a year"), (0, "until it is revoked")),
        coerce=int,
        initial=365,
    )
