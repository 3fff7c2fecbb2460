"""Form fields that several rooms share: plain words, figures with their units, dates that make sense."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils import timezone

from ropewright.quantity import Kind, QuantityError, Range, System, read_quantity, show_range, write_quantity
from ropewright.rig.yamltext import hidden_character
from ropewright.web.policy.now import rules_now
from ropewright.web.shown import shown

__all__ = ["DayField", "FigureField", "PlainLine", "PlainText", "day_input", "figure_text"]

_FAR = 1000
FIRST_YEAR, LAST_YEAR = 1950, 2100
_UNITS: dict[Kind, tuple[str, str]] = {"mass": ("kg", "lb"), "force": ("kN", "lbf"), "length": ("m", "ft")}


class PlainText(forms.CharField):
    """Words that can be shown as they are: no control characters, nothing without ink."""

    widget: Any = forms.Textarea

    def to_python(self, value: Any) -> Any:
        """Refuse hidden characters, by their name."""
        text = super().to_python(value)
        if text and (hidden := hidden_character(text)):
            raise forms.ValidationError(f"Found the hidden character {hidden}; take it out.")
        return text


class PlainLine(PlainText):
    """Such words on one line, with single spaces."""

    widget = forms.TextInput

    def to_python(self, value: Any) -> Any:
        """Fold spaces and line ends."""
        text = super().to_python(value)
        return " ".join(text.split()) if isinstance(text, str) else text


class FigureField(forms.Field):
    """A figure with its unit, in either system; SI inside. A bare number is refused: it may mean either.

    least, most: bounds in SI; about: what is bounded, in a sentence's middle; units: those that a bare
    number is told to take, where they are not the usual ones.
    """

    def __init__(
        self,
        kind: Kind,
        least: float,
        most: float,
        about: str,
        *,
        units: tuple[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off", "maxlength": 60}))
        super().__init__(**kwargs)
        self.kind, self.least, self.most, self.about = kind, least, most, about
        self.units = units or _UNITS[kind]

    def to_python(self, value: Any) -> float | None:
        """Read it. Errors say what was found and what would be right."""
        text = " ".join(str(value or "").split())
        if not text:
            return None
        metric, us = self.units
        if not any(c.isalpha() or c in "'\"" for c in text):
            raise forms.ValidationError(
                f"Found ‘{text[:40]}’ without a unit; write {metric} or {us} after it."
            )
        try:
            found = read_quantity(text, self.kind)
        except QuantityError as error:
            raise forms.ValidationError(f"{str(error)[:1].upper()}{str(error)[1:]}.") from None
        if not found.is_single:
            raise forms.ValidationError(f"Found ‘{text[:40]}’; write one figure, not a range.")
        if not self.least <= found.likely <= self.most:
            raise forms.ValidationError(f"Found ‘{text[:40]}’; {self.about} is {self._ends}.")
        return found.likely

    @property
    def _ends(self) -> str:
        """The bounds in words; far apart, each with its own digits, so that the lesser does not read as 0."""
        if self.most > _FAR * self.least:
            return f"between {shown(self.least, self.kind)} and {shown(self.most, self.kind)}"
        return f"within {show_range(Range(self.least, self.least, self.most), self.kind, rules_now().units)}"

    def prepare_value(self, value: Any) -> Any:
        """The stored figure as somebody would write it; what was typed stays as it was typed."""
        return figure_text(value, self.kind, rules_now().first) if isinstance(value, float | int) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Whether what was typed is another figure than the one before."""
        try:
            return bool(self.to_python(data) != initial)
        except forms.ValidationError:
            return True


def figure_text(value: float, kind: Kind, first: System) -> str:
    """A figure that reads back as the very same: in the system where it is shortest, else in the first."""
    systems: tuple[System, ...] = ("us", "metric") if first == "us" else ("metric", "us")
    return min((write_quantity(Range.exactly(value), kind, system) for system in systems), key=len)


def day_input() -> forms.DateInput:
    """A date as browsers pick it."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class DayField(forms.DateField):
    """A day as the calendar has it; ``past``: not after today by the team's clock."""

    def __init__(self, *, past: bool = True, **kwargs: Any) -> None:
        kwargs.setdefault("widget", day_input())
        kwargs.setdefault("input_formats", ["%Y-%m-%d"])
        kwargs.setdefault("error_messages", {"invalid": "Write the day as 2026-05-04."})
        super().__init__(**kwargs)
        self.past = past

    def to_python(self, value: Any) -> date | None:
        """Refuse days that nobody means."""
        day = super().to_python(value)
        if day is None:
            return None
        today = timezone.localdate()
        if self.past and day > today:
            raise forms.ValidationError(f"{day} is in the future; today is {today}")
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise forms.ValidationError(f"{day} is outside {FIRST_YEAR} to {LAST_YEAR}; check the year")
        return day
