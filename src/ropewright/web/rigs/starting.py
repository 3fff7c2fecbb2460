"""The questions from which a rig is begun, and the pictures of what there is to begin from."""

from __future__ import annotations

from typing import Any, cast

from django import forms

from ropewright.catalogue import Family
from ropewright.drawing import compose, small_picture, subject_of
from ropewright.judgement.examine import examine
from ropewright.quantity import Kind, QuantityError, Range, System, read_quantity
from ropewright.rig import STARTER_KINDS, Answers, StarterError, StarterKind, read_rig, starter_text
from ropewright.rig.editing import EditError, change_heading
from ropewright.rig.fields import LONGEST_TITLE
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.names import OWN_WORDS
from ropewright.web.rigs.saving import LONGEST_KEY, LONGEST_NOTE
from ropewright.web.workings.engine import catalogue
from ropewright.web.workings.results import kept

__all__ = ["KINDS", "StartForm", "picture_of"]

KINDS: dict[StarterKind, tuple[str, str]] = {
    "self-haul": (
        "Self-haul",
        "An ascent on pulleys: somebody pulls himself up, with a back-up on a second line.",
    ),
    "ascent-clamps": (
        "Ascent on clamps",
        "Somebody climbs a rope on two clamps, with a back-up on a second line.",
    ),
    "haul-2-1": ("Haul 2:1", "A crew raises a load; the pulley rides on the load's own rope."),
    "haul-3-1": ("Haul 3:1", "A crew raises a load with one travelling pulley on a grab."),
    "haul-5-1": ("Haul 5:1", "A crew raises a load with two travelling pulleys."),
    "haul-9-1": ("Haul 9:1", "A 3:1 that pulls on a 3:1: slow, for a small crew."),
    "lower": ("Lowering on one line", "A weight to train with; one line is not enough for somebody."),
    "descent": ("Descent", "Somebody lowers himself on a device, with a back-up on a second line."),
    "main-and-second": ("Lowering, main and second line", "The second line follows slack."),
    "two-tensioned": ("Lowering on two tensioned lines", "Both lines carry, each through its own device."),
    "anchor-legs": ("An anchor of two or three legs", "How a load is shared out between anchors."),
}
HAULS = ("haul-2-1", "haul-3-1", "haul-5-1", "haul-9-1")
LONGEST_FIGURE = 40


def picture_of(kind: StarterKind) -> str:
    """A small picture of what a kind starts as, drawn once and kept."""

    def work() -> dict[str, Any]:
        rig = read_rig(starter_text(Answers(kind), catalogue()), catalogue())
        examined = examine(rig, catalogue(), postponed=True)
        return {"svg": small_picture(compose(subject_of(rig, catalogue(), examined))).svg}

    return str(kept("starter small", (kind,), work)["svg"])


def _types(*families: Family) -> list[tuple[str, str]]:
    return [(kind.name, f"{kind.name}: {kind.summary}") for kind in catalogue().of_family(*families)]


class StartForm(forms.Form):
    """What is asked of whoever begins a rig. `answers` is there once the form is valid."""

    kind = forms.ChoiceField(choices=[(k, KINDS[k][0]) for k in STARTER_KINDS], widget=forms.HiddenInput)
    title = forms.CharField(label="What the rig is called", max_length=LONGEST_TITLE)
    units = forms.ChoiceField(
        label="What a bare number means",
        choices=[("metric", "metric: m, kg, kN"), ("us", "US: ft, lb, lbf")],
        help_text="A unit may always be written behind a number, as in 30 ft.",
    )
    mass = forms.CharField(
        label="Mass of what hangs on it", required=False, max_length=LONGEST_FIGURE,
        help_text="With everything worn or packed, as in 95 kg or 80..100 kg. Left out: 100 kg (220 lb).",
    )  # fmt: skip
    height = forms.CharField(
        label="Height of the anchors", required=False, max_length=LONGEST_FIGURE,
        help_text="Above the ground, as in 12 m or 40 ft. Left out: 12 m (40 ft).",
    )  # fmt: skip
    strength = forms.CharField(
        label="What each anchor is rated for", required=False, max_length=LONGEST_FIGURE,
        help_text="As in 36 kN, where somebody rated it. Left out, the check asks for it.",
    )  # fmt: skip
    surface = forms.ChoiceField(label="Edge that the rope runs over", required=False)
    protection = forms.ChoiceField(label="Protection on the edge", required=False)
    people = forms.IntegerField(label="People who haul", required=False, min_value=1, max_value=100)
    legs = forms.TypedChoiceField(
        label="Legs of the anchor",
        required=False,
        coerce=int,
        choices=[("2", "two"), ("3", "three")],
    )
    name = forms.SlugField(
        label="Name of the rig", required=False, max_length=70,
        help_text="One word, for its address and its file. Left out, it follows from the title.",
    )  # fmt: skip
    note = forms.CharField(label="Note on this version", required=False, max_length=LONGEST_NOTE)
    key = forms.CharField(required=False, max_length=LONGEST_KEY, widget=forms.HiddenInput)

    answers: Answers
    text: str

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["units"].initial = rules_now().first
        kind = self.data.get("kind") or self.initial.get("kind")
        if kind in KINDS:
            self.fields["title"].initial = KINDS[kind][0]
        surface, protection = self.fields["surface"], self.fields["protection"]
        assert isinstance(surface, forms.ChoiceField)
        assert isinstance(protection, forms.ChoiceField)
        surface.choices = [("", "no edge"), *_types("surface")]
        protection.choices = [("", "nothing on it"), *_types("protection")]
        for field, wanted in (("people", kind in HAULS), ("legs", kind == "anchor-legs")):
            if not wanted:
                del self.fields[field]
        if kind == "anchor-legs":
            del self.fields["surface"], self.fields["protection"]

    def clean_mass(self) -> Range | None:
        """Read the mass."""
        return self._figure("mass", "mass")

    def clean_height(self) -> Range | None:
        """Read the height: one figure."""
        found = self._figure("height", "length")
        if found is not None and not found.is_single:
            raise forms.ValidationError("Write one height, not a range.")
        return found

    def clean_strength(self) -> Range | None:
        """Read the rating."""
        return self._figure("strength", "force")

    def clean_name(self) -> str:
        """Refuse the words that stand in addresses."""
        name = str(self.cleaned_data["name"]).lower()
        if name in OWN_WORDS:
            raise forms.ValidationError(f"`{name}` is a word of our own addresses; `{name}-rig` is not.")
        return name

    def _figure(self, key: str, kind: Kind) -> Range | None:
        typed = str(self.cleaned_data[key]).strip()
        system = cast(System, self.cleaned_data.get("units", "metric"))
        if not typed:
            return None
        try:
            return read_quantity(typed, kind, system, sign="above-zero")
        except QuantityError as error:
            raise forms.ValidationError(f"{str(error)[:1].upper()}{str(error)[1:]}.") from None

    def clean(self) -> None:
        """Make the answers and the text. What makes no rig is told in the starter's own words."""
        found = self.cleaned_data
        if self.errors:
            return
        height = found["height"]
        self.answers = Answers(
            kind=cast(StarterKind, found["kind"]),
            mass=found["mass"],
            height=height.likely if height else None,
            units=cast(System, found["units"]),
            surface=found.get("surface") or None,
            protection=found.get("protection") or None,
            people=found.get("people"),
            legs=found.get("legs") or 2,
            strength=found["strength"],
        )
        try:
            self.text = change_heading(starter_text(self.answers, catalogue()), {"rig": found["title"]})
        except (StarterError, EditError) as error:
            raise forms.ValidationError(f"{str(error)[:1].upper()}{str(error)[1:]}.") from None
