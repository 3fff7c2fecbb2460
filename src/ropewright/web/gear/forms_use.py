"""The forms of the use log."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from ropewright.web.fields import DayField, FigureField
from ropewright.web.gear.fields import PlainForm
from ropewright.web.gear.uses import UseLine

__all__ = ["CorrectionForm", "UseForm"]


class UseForm(PlainForm):
    """A line of the use log."""

    day = DayField(label="Day")
    what = forms.CharField(max_length=160, label="Incident, class or drill")
    place = forms.CharField(max_length=80, required=False, label="Where")
    hours = forms.FloatField(min_value=0, max_value=1000, required=False, label="Hours")
    drops = forms.IntegerField(min_value=0, max_value=10_000, required=False, label="Falls or drops")
    load = FigureField(
        "force",
        0,
        500_000,
        "a load",
        required=False,
        label="Greatest load",
        help_text="such as 2.4 kN or 540 lbf",
    )
    wet = forms.BooleanField(required=False, label="It got wet")
    heat = forms.BooleanField(required=False, label="It got hot")
    chemical = forms.BooleanField(required=False, label="It met chemicals")
    exposure = forms.CharField(
        max_length=200,
        required=False,
        label="What it met",
        help_text="such as salt water, roof tar, sun all day",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["day"].initial = timezone.localdate()

    @property
    def line(self) -> UseLine:
        """The line as it was filled in."""
        return UseLine(**{name: self.cleaned_data[name] for name in UseLine.__slots__})


class CorrectionForm(UseForm):
    """A line that counts instead of an older one, and why."""

    why = forms.CharField(max_length=200, label="Why the older line is wrong")
