"""The form in which an event is reported."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from ropewright.web.fields import DayField
from ropewright.web.gear.fields import PlainForm
from ropewright.web.gear.models import Event

__all__ = ["EventForm"]


def _kinds() -> list[tuple[str, str]]:
    """Every kind of event; none stands there before somebody chose it."""
    return [("", "choose what it was"), *Event.Kind.choices]


class EventForm(PlainForm):
    """What happened, and when."""

    kind = forms.ChoiceField(
        label="What it was", choices=_kinds, error_messages={"required": "say what it was"}
    )
    day = DayField(label="Day")
    text = forms.CharField(
        max_length=4000,
        label="What happened",
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="the load, how far it ran or fell, what caught it; edges, heat, chemicals",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["day"].initial = timezone.localdate()
