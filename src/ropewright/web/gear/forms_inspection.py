"""The form of an inspection: the points of a checklist, and what follows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django import forms
from django.utils import timezone

from ropewright.web.fields import DayField, day_input
from ropewright.web.gear.fields import PlainForm
from ropewright.web.gear.inspections import Look, Seen
from ropewright.web.gear.kinds import Point
from ropewright.web.gear.models import Finding, Inspection, Item
from ropewright.web.gear.states import stands_at

__all__ = ["InspectionForm"]

_Level, _Verdict = Inspection.Level, Inspection.Verdict
_BY_ANYBODY = (_Level.BEFORE, _Level.AFTER)
"""What an instructor may record; the others are the custodian's."""


class InspectionForm(PlainForm):
    """Level, day, person; a finding for each point, 'not looked at' until it is set; the verdict.

    keeper: whether the account may record every level and retire gear. many: several items at once.
    """

    level = forms.ChoiceField(label="Which inspection")
    day = DayField(label="Day")
    inspector = forms.CharField(max_length=80, label="Competent person who looked")
    verdict = forms.ChoiceField(label="Verdict")
    next_due = forms.DateField(
        required=False,
        label="Next inspection due",
        widget=day_input(),
        help_text="left empty, the policy's interval sets it; an earlier day may be set",
    )
    opened = forms.CharField(max_length=20_000, widget=forms.HiddenInput)
    note = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}), label="Note"
    )

    def __init__(
        self, points: Sequence[Point], *args: Any, keeper: bool, many: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.points = points
        levels = [(x.value, str(x.label)) for x in _Level if keeper or x in _BY_ANYBODY]
        verdicts = [(x.value, str(x.label)) for x in _Verdict if keeper or x != _Verdict.RETIRE]
        if many:
            verdicts = [(x.value, str(x.label)) for x in (_Verdict.FIT, _Verdict.WATCH)]
        self._field("level").choices = levels
        self._field("verdict").choices = [("", "choose when you have looked"), *verdicts]
        self.fields["day"].initial = timezone.localdate()
        if keeper:
            self.fields["level"].initial = _Level.PERIODIC
        for n, point in enumerate(points):
            self.fields[f"point_{n}"] = forms.ChoiceField(
                label=point.point,
                choices=Finding.Result.choices,
                initial=Finding.Result.NOT_SEEN,
                widget=forms.RadioSelect,
            )
            self.fields[f"note_{n}"] = forms.CharField(
                required=False, max_length=300, label=f"Note on {point.point}"
            )

    def _field(self, name: str) -> forms.ChoiceField:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        return field

    def rows(self) -> Iterator[tuple[Point, forms.BoundField, forms.BoundField]]:
        """The points with their two fields, for the page."""
        for n, point in enumerate(self.points):
            yield point, self[f"point_{n}"], self[f"note_{n}"]

    def clean_opened(self) -> dict[int, str]:
        """How far the record of each item had come when the form was opened."""
        pairs = (part.partition("=") for part in self.cleaned_data["opened"].split(","))
        return {int(pk): state for pk, _, state in pairs if pk.isascii() and pk.isdecimal() and len(pk) < 19}

    def open_anew(self, items: Iterable[Item]) -> None:
        """Have the form speak of the items as they stand now."""
        now = ",".join(f"{item.pk}={stands_at(item)}" for item in items)
        self.initial["opened"] = now
        if self.is_bound:
            again = self.data.copy()  # type: ignore[attr-defined]  # a form that was sent holds a QueryDict
            again["opened"] = now
            self.data = again

    @property
    def look(self) -> Look:
        """The inspection as it was filled in."""
        cleaned = self.cleaned_data
        return Look(
            level=cleaned["level"],
            day=cleaned["day"],
            verdict=cleaned["verdict"],
            inspector=" ".join(cleaned["inspector"].split()),
            seen=[
                Seen(point.point, cleaned[f"point_{n}"], cleaned[f"note_{n}"])
                for n, point in enumerate(self.points)
            ],
            note=cleaned["note"],
            next_due=cleaned["next_due"],
        )
