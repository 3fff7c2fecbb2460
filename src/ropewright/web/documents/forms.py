"""The forms of documents."""

from __future__ import annotations

from typing import Any

from django import forms

from ropewright.rig.yamltext import hidden_character
from ropewright.web.documents.checks import ACCEPTED
from ropewright.web.documents.limit import most_bytes

__all__ = ["DocumentForm", "WithdrawForm"]


def _plain(text: str) -> str:
    """One line of text. Errors: ValidationError where it holds something hidden."""
    found = hidden_character(text)
    if found:
        raise forms.ValidationError(f"found the hidden character {found}; write plain text without it")
    return " ".join(text.split())


class DocumentForm(forms.Form):
    """A photograph or document to be kept."""

    file = forms.FileField(
        label="Photograph or document",
        error_messages={"required": "Choose a file.", "empty": "The file is empty."},
    )
    title = forms.CharField(label="What it shows", max_length=120, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        file = self.fields["file"]
        file.help_text = f"JPEG, PNG, WebP, PDF or plain text; {most_bytes() / 1e6:.0f} MB at most"
        file.widget.attrs = {"accept": ACCEPTED, "data-most-bytes": str(most_bytes())}

    def clean_title(self) -> str:
        """Read the title."""
        return _plain(self.cleaned_data["title"])


class WithdrawForm(forms.Form):
    """Why a document is withdrawn."""

    why = forms.CharField(label="Why", max_length=300)

    def clean_why(self) -> str:
        """Read the reason."""
        return _plain(self.cleaned_data["why"])
