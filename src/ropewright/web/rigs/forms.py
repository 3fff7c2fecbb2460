"""The form with which a rig file is taken in."""

from __future__ import annotations

from typing import Any

from django import forms

from ropewright.rig.yamltext import MOST_BYTES
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.names import name_of

__all__ = ["TakeInForm"]

AS_NEW, AS_VERSION = "new", "version"


class TakeInForm(forms.Form):
    """A file, or its text; and where the name is taken, as what it is to be kept."""

    file = forms.FileField(label="The .rig.yaml file", required=False, allow_empty_file=True)
    text = forms.CharField(
        label="or its text",
        required=False,
        strip=False,
        max_length=MOST_BYTES,
        widget=forms.Textarea(attrs={"class": "text", "rows": 16, "spellcheck": "false"}),
    )
    file_name = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput)
    keep_as = forms.ChoiceField(
        label="Keep it as",
        required=False,
        choices=[(AS_VERSION, "a new version of that rig"), (AS_NEW, "a rig of its own, under another name")],
        widget=forms.RadioSelect,
    )
    base = forms.IntegerField(required=False, min_value=0, max_value=1_000_000, widget=forms.HiddenInput)
    name = forms.SlugField(label="Its own name", required=False, max_length=80)

    def clean_file(self) -> Any:
        """Refuse what is too large before it is read."""
        file = self.cleaned_data["file"]
        if file is not None and (file.size or 0) > MOST_BYTES:
            text = f"The file is larger than {MOST_BYTES // 1000:,} kB; a rig file holds one rig."
            raise forms.ValidationError(text)
        return file

    def clean(self) -> dict[str, Any]:
        """One of the two has to be there."""
        data = super().clean() or self.cleaned_data
        if not self.errors and data.get("file") is None and not data.get("text", "").strip():
            raise forms.ValidationError("Choose a .rig.yaml file, or paste its text.")
        return data

    def clean_name(self) -> str:
        """A name that is free and no word of an address."""
        name: str = self.cleaned_data["name"]
        if name and self.data.get("keep_as") == AS_NEW:
            if name_of(name) != name:
                raise forms.ValidationError(f"That can't be a name; this could: {name_of(name)}")
            if Rig.objects.filter(slug=name).exists():
                raise forms.ValidationError("A rig has that name too; choose another.")
        return name

    @property
    def source(self) -> str | bytes:
        """What was sent: the bytes of the file, else the text."""
        file = self.cleaned_data.get("file")
        sent: str | bytes = file.read() if file is not None else self.cleaned_data["text"]
        return sent

    @property
    def sent_name(self) -> str:
        """The name of the file that was sent, also where its text comes a second time."""
        file = self.cleaned_data.get("file")
        name: str = (file.name or "") if file is not None else self.cleaned_data["file_name"]
        return name[:200]
