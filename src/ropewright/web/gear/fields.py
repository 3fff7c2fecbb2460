"""Forms of the cache: text without hidden signs, refusals at their form."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from ropewright.rig.yamltext import hidden_character
from ropewright.web.gear.refusals import GearError

__all__ = ["PlainForm", "PlainModelForm"]


def _plain(form: forms.BaseForm, cleaned: Mapping[str, Any]) -> None:
    """Refuse text that can't be shown as it is."""
    for name, value in cleaned.items():
        found = hidden_character(value) if isinstance(value, str) else None
        if found:
            form.add_error(name, f"found the hidden character {found}; write plain text without it")
        elif isinstance(value, str) and "\n" in value and not _has_lines(form, name):
            form.add_error(name, "this is one line; take the line ends out")


def _has_lines(form: forms.BaseForm, name: str) -> bool:
    return name not in form.fields or isinstance(form.fields[name].widget, forms.Textarea)


class PlainForm(forms.Form):
    """A form whose texts hold nothing hidden."""

    def clean(self) -> dict[str, Any]:
        """Look at every text."""
        cleaned = super().clean() or self.cleaned_data
        _plain(self, dict(cleaned))
        return cleaned

    def refuse(self, error: GearError) -> None:
        """Show every reason why what was filled in can't be done."""
        for fault in error.faults:
            self.add_error(None, fault)


class PlainModelForm(forms.ModelForm):  # type: ignore[type-arg]  # one base for forms of several tables
    """A form of a table's row whose texts hold nothing hidden."""

    def clean(self) -> dict[str, Any]:
        """Look at every text."""
        cleaned = super().clean() or self.cleaned_data
        _plain(self, dict(cleaned))
        return cleaned
