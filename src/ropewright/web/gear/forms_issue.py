"""The forms in which gear is given out."""

from __future__ import annotations

from datetime import date

from django import forms
from django.utils import timezone

from ropewright.web.fields import day_input
from ropewright.web.gear.fields import PlainForm
from ropewright.web.gear.issues import Line, find_marks
from ropewright.web.people.models import Person
from ropewright.web.quick import QuickSelect

__all__ = ["GiveOutForm", "MoreForm", "TakerForm"]


class MoreForm(PlainForm):
    """Items by their marks."""

    marks = forms.CharField(
        required=False,
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 3}),
        label="Items by mark",
        help_text="one a line, or with commas between",
    )
    below_reserve = forms.BooleanField(
        required=False,
        label="The front line may go below its reserve, for this use",
    )

    def clean_marks(self) -> list[Line]:
        """The items of the marks."""
        items, unknown = find_marks(self.cleaned_data["marks"])
        if unknown:
            shown = ", ".join(mark[:40] for mark in unknown[:10])
            raise forms.ValidationError(f"no item has the mark {shown}")
        return [Line(item.pk) for item in items]


FURTHEST = 366
"""Days after which gear that is given out is wanted back at the latest."""


class TakerForm(PlainForm):
    """To whom gear goes, until when."""

    taken_by = forms.ModelChoiceField(
        Person.objects.filter(active=True),
        required=False,
        label="Who takes it",
        empty_label="not stated",
        widget=QuickSelect,
    )
    until = forms.DateField(required=False, label="Wanted back", widget=day_input())

    def clean_until(self) -> date | None:
        """A day that is still to come."""
        until: date | None = self.cleaned_data["until"]
        today = timezone.localdate()
        if until and until < today:
            raise forms.ValidationError(f"{until} has passed; give today or a later day")
        if until and (until - today).days > FURTHEST:
            raise forms.ValidationError(f"{until} is more than a year off; check the year")
        return until


class GiveOutForm(MoreForm, TakerForm):
    """What gear is given out for, to whom, until when."""

    what = forms.CharField(max_length=160, label="What for")

    field_order = ("what", "taken_by", "until", "marks", "below_reserve")
