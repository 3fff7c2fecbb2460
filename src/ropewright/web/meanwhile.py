"""Two people who change one record at once: the second is told, and nothing typed is lost."""

from __future__ import annotations

from typing import Any

from django import forms

__all__ = ["base_field", "newest", "overtaken"]


def base_field() -> forms.IntegerField:
    """The field `base` of a form: which state of the record whoever opened it has seen."""
    return forms.IntegerField(widget=forms.HiddenInput, min_value=0)


def newest(record: Any) -> tuple[int, str]:
    """The newest line of a record's history, as a base, and who wrote it."""
    line = record.history.select_related("history_user__person").first()
    return (line.history_id, str(line.history_user or "somebody")) if line else (0, "somebody")


def overtaken(form: forms.BaseForm, now: tuple[int, str], noun: str) -> bool:
    """Whether a record was changed since its form was opened; the form then says so, and can be sent again.

    form: valid, with `base_field` as `base`. now: the state of the locked record, and who made it so.
    """
    base, by = now
    if form.cleaned_data["base"] == base:
        return False
    form.add_error(
        None,
        f"{by} changed this {noun} since you opened it. What you typed is still here: open the {noun} in "
        "another window, compare, and save again.",
    )
    again = form.data.copy()  # type: ignore[attr-defined]  # a form that was sent holds a QueryDict
    again["base"] = str(base)
    form.data = again
    return True
