"""The forms of the cache."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from django import forms

from ropewright.web.fields import DayField, FigureField
from ropewright.web.gear.fields import PlainForm, PlainModelForm
from ropewright.web.gear.kinds import TEXTILES, families, kind_of, kinds
from ropewright.web.gear.models import Item, Kit, Place
from ropewright.web.meanwhile import base_field

__all__ = ["ChangedItemForm", "ItemForm", "KitForm", "NewItemForm", "PlaceForm", "ReasonForm", "kind_choices"]


def _kinds_to_choose() -> list[tuple[str, object]]:
    return [("", "choose the type"), *kind_choices()]


def kind_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Every kind, by family, as a form offers them."""
    return [
        (words, [(k.name, f"{k.name} – {k.summary}") for k in kinds().values() if k.family == family])
        for family, words in families().items()
    ]


class ItemForm(PlainModelForm):
    """An item's record: everything but its state."""

    made = DayField(required=False)
    bought = DayField(required=False)
    first_used = DayField(required=False)
    type = forms.ChoiceField(label="Type, from the catalogue", choices=_kinds_to_choose)
    length = FigureField(
        "length", 0.1, 1000, "a length", required=False, label="Length", help_text="such as 60 m or 200 ft"
    )
    diameter = FigureField(
        "length",
        0.001,
        0.2,
        "a diameter",
        required=False,
        label="Diameter",
        help_text="such as 12.5 mm or 0.5 in",
        units=("mm", "in"),
    )
    strength = FigureField(
        "force",
        100,
        500_000,
        "a strength",
        required=False,
        label="Breaking strength",
        help_text="such as 40 kN or 9000 lbf",
    )
    working_load = FigureField(
        "force",
        100,
        500_000,
        "a working load",
        required=False,
        label="Working load",
        help_text="where the nameplate has one",
    )
    user_mass = FigureField(
        "mass",
        10,
        1000,
        "a user limit",
        required=False,
        label="User limit",
        help_text="such as 140 kg or 310 lb",
    )

    class Meta:
        model = Item
        fields = (
            "mark", "type", "name", "colour", "size", "length", "diameter", "material", "textile", "standard",
            "grade", "strength", "working_load", "user_mass", "serial", "supplier", "made", "bought",
            "first_used", "instructions", "place", "kit", "front_line", "note",
        )  # fmt: skip
        widgets = {"note": forms.Textarea(attrs={"rows": 4})}
        help_texts = {
            "mark": "what is written on it; no other item has it",
            "name": "what the team calls it",
            "colour": "colour of a rope, or of the tape that marks it",
            "standard": "such as NFPA 2500 or EN 1891, with its year",
            "grade": "such as G, T, E or type A",
            "textile": "ages by the calendar; ticked by itself for ropes, slings, harnesses and helmets",
            "front_line": "tick what the policy keeps on the rig",
        }

    def clean_mark(self) -> str:
        """Read marks alike that differ only in capitals: people do."""
        mark = " ".join(str(self.cleaned_data["mark"]).split())
        if "," in mark:
            raise forms.ValidationError("a mark has no comma in it: lists of marks are parted by commas")
        twin = self.twin_of(mark)
        if twin:
            raise forms.ValidationError(f"{twin} is another item's mark; each item needs its own")
        return mark

    def twin_of(self, mark: str) -> str:
        """The mark of another item that reads alike; nothing where there is none."""
        twin = Item.objects.filter(mark__iexact=mark).exclude(pk=self.instance.pk).first()
        return twin.mark if twin else ""

    def clean(self) -> dict[str, Any]:
        """Hold the figures and dates against each other."""
        cleaned = super().clean()
        days = [(name, cleaned.get(name)) for name in ("made", "bought", "first_used")]
        known = [(name, day) for name, day in days if day]
        for (earlier, first), (later, then) in pairwise(known):
            if first > then:
                words = {"made": "made", "bought": "bought", "first_used": "first used"}
                self.add_error(
                    later, f"{words[later]} on {then}, before it was {words[earlier]} ({first}): check both"
                )
        load, strength = cleaned.get("working_load"), cleaned.get("strength")
        if load and strength and load > strength:
            self.add_error("working_load", "the working load is more than the breaking strength: check both")
        if cleaned.get("type") and kind_of(cleaned["type"]).checklist in TEXTILES:
            cleaned["textile"] = True
        return cleaned


class NewItemForm(ItemForm):
    """A new item, with the state that it comes in."""

    doubt = forms.CharField(
        label="Quarantine it at once, because",
        max_length=300,
        required=False,
        help_text="such as: history unknown. Left empty, it is in service and due until its first inspection",
    )


class ChangedItemForm(ItemForm):
    """An item's record as somebody opened it: ``base`` names the line of its history that they saw."""

    base = base_field()


class PlaceForm(PlainModelForm):
    """Where gear is kept."""

    class Meta:
        model = Place
        fields = ("name", "about")


class KitForm(PlainModelForm):
    """Items that stay together."""

    class Meta:
        model = Kit
        fields = ("name", "about", "place", "front_line")
        labels = {"front_line": "Front-line: it is on the rig"}


class ReasonForm(PlainForm):
    """Why something is done."""

    reason = forms.CharField(max_length=250, label="Why")
