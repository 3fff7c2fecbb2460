"""Forms of people."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from ropewright.effort import load_roles
from ropewright.effort.roster import LEAST_MASS, MOST_MASS
from ropewright.web.fields import DayField, FigureField, PlainLine, PlainText
from ropewright.web.meanwhile import base_field
from ropewright.web.people.models import Person, Prerequisite, SkillHeld
from ropewright.web.people.privacy import PRIVATE

__all__ = ["PersonForm", "PrerequisiteForm", "SkillForm"]


class PersonForm(forms.ModelForm):  # type: ignore[type-arg]
    """A person. ``private``: whether whoever fills it in may read mass, pull, reach and limits."""

    name = PlainLine(max_length=80)
    mark = PlainLine(label="Own number", max_length=30, required=False)
    duty = PlainLine(
        max_length=60, required=False, widget=forms.TextInput(attrs={"list": "duties", "autocomplete": "off"})
    )
    agency = PlainLine(max_length=80, required=False)
    on_rope = forms.BooleanField(label="May go on rope", required=False, initial=True)
    hauls = forms.BooleanField(label="May haul", required=False, initial=True)
    mass = FigureField(
        "mass",
        LEAST_MASS,
        MOST_MASS,
        "a person with gear",
        label="Mass with gear",
        required=False,
        help_text="With everything worn, as in 91 kg or 200 lb.",
    )
    weighed = DayField(label="Weighed on", required=False)
    pull = FigureField(
        "force",
        10,
        2000,
        "a pull",
        label="Measured pull",
        required=False,
        help_text="As in 0.2 kN or 45 lbf.",
    )
    pull_measured = DayField(label="Pull measured on", required=False)
    reach = FigureField(
        "length",
        0.1,
        3,
        "rope for each pull",
        label="Rope for each pull",
        required=False,
        help_text="What one pull, hand over hand, takes in: as in 0.8 m or 2.6 ft.",
    )
    limits = PlainText(
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What this person is not to be asked for. Read by those who teach, and by the person.",
    )
    note = PlainText(
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Everybody who sees the roster reads this: nothing about somebody's body here.",
    )

    class Meta:
        model = Person
        fields = (
            "name",
            "mark",
            "duty",
            "agency",
            "on_rope",
            "hauls",
            "mass",
            "weighed",
            "pull",
            "pull_measured",
            "reach",
            "limits",
            "note",
        )

    def __init__(self, *args: Any, private: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not private:
            for name in PRIVATE:
                del self.fields[name]
        names = ", ".join(self.known_duties)
        never = "Safety officers and leaders are never counted at a rope."
        self.fields["duty"].help_text = f"Known are {names}. {never} Other words may stand here."

    @property
    def known_duties(self) -> list[str]:
        """What may be chosen for a duty."""
        return list(dict.fromkeys(role.name for role in load_roles().values()))

    def clean(self) -> dict[str, Any]:
        """Two people of one name are told apart by their numbers; a date needs the figure that it is of."""
        given = super().clean() or {}
        name, mark = given.get("name"), given.get("mark", "")
        others = Person.objects.filter(active=True, name__iexact=name or "", mark=mark).exclude(
            pk=self.instance.pk
        )
        if name and others.exists():
            self.add_error(
                "name", f"‘{name}’ is on the roster already; give each an own number, or another initial."
            )
        for day, figure, words in (
            ("weighed", "mass", "a mass"),
            ("pull_measured", "pull", "a measured pull"),
        ):
            if (
                day in self.fields
                and given.get(day)
                and given.get(figure) is None
                and figure not in self.errors
            ):
                self.add_error(day, f"A date without {words}: state {words}, or take the date out.")
        return given


class ChangedPersonForm(PersonForm):
    """An entry as somebody opened it: ``base`` names the line of its history that they saw."""

    base = base_field()

    def clean(self) -> dict[str, Any]:
        """A figure that changed was taken on another day than the one before."""
        given = super().clean()
        today = timezone.localdate()
        for day, figure, words in (("weighed", "mass", "mass"), ("pull_measured", "pull", "pull")):
            old = given.get(day)
            kept = figure in self.changed_data and day not in self.changed_data
            if kept and old and old != today:
                told = f"The {words} is another than on {old}: write the day of the new one, or leave it out."
                self.add_error(day, told)
        return given


class PrerequisiteForm(forms.ModelForm):  # type: ignore[type-arg]
    """Something that a person must have before they train."""

    kind = PlainLine(label="What", max_length=80, help_text="As in medical, first aid certificate.")
    got = DayField(label="Since", required=False)
    expires = DayField(
        past=False, required=False, help_text="Left out, it holds until somebody says otherwise."
    )
    note = PlainLine(max_length=300, required=False, help_text="Everybody who sees the roster reads this.")

    class Meta:
        model = Prerequisite
        fields = ("kind", "got", "expires", "note")

    def clean(self) -> dict[str, Any]:
        """Nothing expires before it began."""
        given = super().clean() or {}
        got, expires = given.get("got"), given.get("expires")
        if got and expires and expires < got:
            self.add_error("expires", f"Found {expires}, which is before it began on {got}.")
        return given


class SkillForm(forms.ModelForm):  # type: ignore[type-arg]
    """A skill that a person has shown."""

    skill = PlainLine(max_length=120)
    since = DayField()
    verified = DayField(label="Last seen", required=False)
    source = PlainLine(
        label="Where that is written",
        max_length=200,
        required=False,
        help_text="As in a sheet, a certificate.",
    )

    class Meta:
        model = SkillHeld
        fields = ("skill", "since", "verified", "source")

    def clean(self) -> dict[str, Any]:
        """Nothing is last seen before it began, and no skill stands twice for one person."""
        given = super().clean() or {}
        since, verified, skill = given.get("since"), given.get("verified"), given.get("skill")
        if since and verified and verified < since:
            self.add_error("verified", f"Found {verified}, which is before it began on {since}.")
        same = SkillHeld.objects.filter(person=self.instance.person_id, skill__iexact=skill or "")
        if skill and same.exclude(pk=self.instance.pk).exists():
            self.add_error("skill", f"‘{skill}’ stands here already; change that entry.")
        return given
