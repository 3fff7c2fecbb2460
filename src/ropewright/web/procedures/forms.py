"""The forms of procedures."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, QueryDict

from ropewright.procedure import KEYS, keys_of
from ropewright.procedure.pairing import CARRIED
from ropewright.rig import Rig as ReadRig
from ropewright.rig import RigFileError
from ropewright.rig.textfile import read_text
from ropewright.rig.yamltext import MOST_BYTES, hidden_character
from ropewright.web.procedures.models import Procedure
from ropewright.web.procedures.ways import hinders
from ropewright.web.rigs.models import Rig
from ropewright.web.versions.saving import note_of_file
from ropewright.web.workings.engine import catalogue, read_for_team

__all__ = ["PIECES", "FindForm", "StartForm", "TakeInForm", "TitleForm", "sent"]

PIECES = 4
"""Pieces of gear that may be brought along to a search."""
SECONDS = (("15", "15 seconds"), ("60", "1 minute"), ("120", "2 minutes"), ("300", "5 minutes"))


def sent(request: HttpRequest) -> QueryDict | None:
    """What a form was sent, be it nothing; None where it was only opened."""
    return request.POST if request.method == "POST" else None


def _rigs() -> list[tuple[str, str]]:
    rigs = Rig.objects.filter(put_away=None).values_list("slug", "title")
    return [("", "choose a rig"), *((slug, f"{title or slug} ({slug})") for slug, title in rigs)]


def _kinds() -> list[tuple[str, str]]:
    kinds = sorted(catalogue().of_family(*CARRIED), key=lambda kind: kind.name)
    return [("", "nothing"), *((kind.name, kind.name) for kind in kinds)]


class FindForm(forms.Form):
    """Between which rigs a way is searched, with what besides, and for how long."""

    start = forms.ChoiceField(label="From the rig", choices=_rigs)
    goal = forms.ChoiceField(label="To the rig", choices=_rigs)
    seconds = forms.ChoiceField(label="Search for at most", choices=SECONDS, initial="60")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for k in range(1, PIECES + 1):
            self.fields[f"extra_{k}"] = forms.ChoiceField(
                label=f"Brought along, piece {k}", choices=_kinds, required=False
            )
        self.read: tuple[ReadRig, ReadRig] | None = None

    @property
    def types(self) -> list[str]:
        """The types of gear brought along."""
        chosen = (self.cleaned_data.get(f"extra_{k}", "") for k in range(1, PIECES + 1))
        return [kind for kind in chosen if kind]

    def clean(self) -> dict[str, Any]:
        """Both rigs can be read, and nothing is known against a way between them."""
        data = super().clean() or self.cleaned_data
        if not (data.get("start") and data.get("goal")):
            return data
        if data["start"] == data["goal"]:
            self.add_error("goal", "This is the rig that it starts from; choose another.")
            return data
        both = tuple(_read(self, key, data[key]) for key in ("start", "goal"))
        if both[0] is not None and both[1] is not None:
            why = hinders(both[0], both[1])
            if why:
                raise forms.ValidationError(why)
            self.read = (both[0], both[1])
        return data


def _read(form: forms.Form, key: str, slug: str) -> ReadRig | None:
    """The rig of a field; what is wrong with it is told at the field."""
    try:
        return read_for_team(Rig.objects.get(slug=slug).current.text)
    except RigFileError as error:
        fault = error.faults[0]
        form.add_error(key, f"This rig can't be used yet: line {fault.line}: {fault.text}")
        return None


class TitleForm(forms.Form):
    """What a procedure is to be called."""

    title = forms.CharField(label="Title", max_length=200)

    def clean_title(self) -> str:
        """A title without characters that can't be seen."""
        title = " ".join(str(self.cleaned_data["title"]).split())
        hidden = hidden_character(title)
        if hidden:
            raise forms.ValidationError(f"It holds the hidden character {hidden}; write it without.")
        return title


class StartForm(TitleForm):
    """On which rig a procedure begins."""

    rig = forms.ChoiceField(label="It starts from the rig", choices=_rigs)
    read: ReadRig | None = None

    def clean_rig(self) -> str:
        """A rig that can be used."""
        slug: str = self.cleaned_data["rig"]
        self.read = _read(self, "rig", slug)
        return slug


def _into() -> list[tuple[str, str]]:
    procedures = Procedure.objects.filter(put_away=None).values_list("slug", "title")
    return [
        ("", "a procedure of its own"),
        *((slug, f"the next version of: {title or slug}") for slug, title in procedures),
    ]


class TakeInForm(forms.Form):
    """A file, or its text, and as what it is to be kept."""

    file = forms.FileField(label="The .procedure.yaml file", required=False, allow_empty_file=True)
    pasted = forms.CharField(
        label="or its text",
        required=False,
        strip=False,
        max_length=MOST_BYTES,
        widget=forms.Textarea(attrs={"class": "text", "rows": 16, "spellcheck": "false"}),
    )
    into = forms.ChoiceField(label="Keep it as", required=False, choices=_into)
    text = ""
    note = note_of_file("")

    def clean(self) -> dict[str, Any]:
        """One of the two is there, and it is a procedure file, whatever is to be mended in it."""
        data = super().clean() or self.cleaned_data
        file = data.get("file")
        source: str | bytes = file.read(MOST_BYTES + 1) if file is not None else data.get("pasted", "")
        if not source.strip():
            raise forms.ValidationError("Choose a .procedure.yaml file, or paste its text.")
        try:
            self.text = read_text(source, "procedure file", "a procedure file", "pass.procedure.yaml")
            known = KEYS.keys() & keys_of(self.text).value.keys()
        except RigFileError as error:
            self._offer_the_text()
            fault = error.faults[0]
            raise forms.ValidationError(
                f"Nothing was kept: line {fault.line}, column {fault.column}: {fault.text}"
            ) from None
        if not known:
            raise forms.ValidationError(
                "Nothing was kept: this is another file. "
                "A procedure file starts with `procedure:` and a title."
            )
        if file is not None:
            self.note = note_of_file(file.name or "")
        return data

    def _offer_the_text(self) -> None:
        """Let what was sent as a file stand in the form, to be mended there."""
        if self.text and not hidden_character(self.text):
            self.data = {"into": self.data.get("into", ""), "pasted": self.text}
