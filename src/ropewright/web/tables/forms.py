"""The forms of an import: sending a table, and saying how it is to be taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from ropewright.web.tables.cells import Manner
from ropewright.web.tables.columns import NOT_TAKEN, Column
from ropewright.web.tables.table import MOST_BYTES, MOST_ROWS

__all__ = ["MannerForm", "SendForm", "chosen_columns"]

_SYSTEMS = (("metric", "metric: m, kg, kN"), ("us", "US: ft, lb, lbf"))


class SendForm(forms.Form):
    """A table to be sent."""

    table = forms.FileField(
        label="Table",
        help_text=f"CSV or XLSX, up to {MOST_ROWS} rows; its first row names the columns",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx", "data-most-bytes": str(MOST_BYTES)}),
        error_messages={"required": "Choose a file.", "empty": "The file is empty."},
    )
    system = forms.ChoiceField(label="A bare number is", choices=_SYSTEMS)


class MannerForm(forms.Form):
    """How cells are to be read where they alone don't say."""

    system = forms.ChoiceField(label="A bare number is", choices=_SYSTEMS)
    dates = forms.ChoiceField(
        label="A date such as 03/04/2024 is",
        choices=(("", "not chosen yet"), ("day", "day first: 3 April"), ("month", "month first: 4 March")),
        required=False,
    )
    comma = forms.ChoiceField(
        label="A comma in a figure",
        choices=(
            ("", "not chosen yet"),
            ("thousands", "parts thousands: 1,800 is 1800"),
            ("decimals", "starts decimals: 1,8 is 1.8"),
        ),
        required=False,
    )
    clears = forms.TypedChoiceField(
        label="An empty cell",
        choices=(("no", "leaves what is on record"), ("yes", "empties what is on record")),
        coerce=lambda word: word == "yes",
    )

    @classmethod
    def showing(cls, manner: Manner) -> MannerForm:
        """The form as it stands for a manner."""
        return cls(
            initial={
                "system": manner.system,
                "dates": manner.dates,
                "comma": manner.comma,
                "clears": "yes" if manner.clears else "no",
            }
        )

    def manner(self) -> Manner:
        """What was chosen; the form is valid."""
        return Manner(**self.cleaned_data)


def chosen_columns(data: Mapping[str, Any], width: int, columns: Sequence[Column]) -> dict[int, str]:
    """What was chosen for each of the file's columns; an answer that was not offered is passed over."""
    keys = {column.key for column in columns} | {NOT_TAKEN}
    answers = {index: str(data.get(f"column-{index}", "")) for index in range(width)}
    return {index: key for index, key in answers.items() if key in keys}
