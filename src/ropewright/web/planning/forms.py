"""The forms of a plan: its day and people, its rigs, and gear beside them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from functools import cache
from typing import Any, cast

from django import forms
from django.db.models import Q
from django.forms import BaseInlineFormSet, inlineformset_factory
from django.utils import timezone

from ropewright.web.fields import FigureField, day_input
from ropewright.web.gear.fields import PlainModelForm
from ropewright.web.gear.forms_issue import TakerForm
from ropewright.web.gear.kinds import kinds
from ropewright.web.meanwhile import base_field
from ropewright.web.people.models import Person
from ropewright.web.planning.models import Plan, PlanExtra, PlanLine
from ropewright.web.planning.standing import marked
from ropewright.web.policy.now import rules_now
from ropewright.web.quick import QuickSelect, QuickTicks, Ready
from ropewright.web.rigs.models import Rig

__all__ = ["ExtraForms", "IssueForm", "LineForms", "PlanForm", "propose"]

FURTHEST = 366 * 3
"""Days ahead beyond which a day is taken for a slip of the pen."""


class _FromRoster(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """People by their numbers; a number that no store can hold is nobody's, and refused like any other.

    ``day``: that of the plan, on which it is told beside each name what the roster has against it; None where
    nothing is asked of them.
    """

    day: date | None = None

    def label_from_instance(self, obj: Person) -> str:
        """The name, with what speaks against going on rope."""
        return marked(obj, self.day) if self.day else str(obj)

    def clean(self, value: Any) -> Any:
        """Refuse what the store can't even be asked for."""
        try:
            return super().clean(value)
        except OverflowError:
            raise forms.ValidationError("Somebody chosen is not on the roster; choose again.") from None


class PlanForm(PlainModelForm):
    """What is planned, for which day, and for whom; ``base``: how often it was kept when it was opened."""

    base = base_field()

    class Meta:
        model = Plan
        fields = [
            "title", "day", "people", "more_people", "instructors", "more_instructors", "groups",
            "work", "lend", "note",
        ]  # fmt: skip
        labels = {
            "title": "What for",
            "people": "Who goes on rope, from the roster",
            "more_people": "and so many more",
            "instructors": "Who teaches, from the roster",
            "more_instructors": "and so many more",
            "groups": "Groups at the same time",
            "lend": "The front line may be lent, down to its reserve",
        }
        error_messages = {
            "title": {"required": "say what it is for"},
            "day": {"required": "say on which day"},
        }
        help_texts = {
            "people": "the rigs are worked out at the masses of the heaviest and the lightest of them too",
            "groups": "left out: one for each station",
        }
        field_classes = {"people": _FromRoster, "instructors": _FromRoster}
        widgets = {
            "day": day_input(),
            "people": QuickTicks,
            "instructors": QuickTicks,
            "note": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen = Q(active=True)
        if self.instance.pk:
            chosen |= Q(plans=self.instance) | Q(plans_taught=self.instance)
        roster = Person.objects.filter(chosen).distinct()
        for name in ("people", "instructors"):
            self.fields[name].queryset = roster  # type: ignore[attr-defined]
        on_rope = cast(_FromRoster, self.fields["people"])
        on_rope.day = self.instance.day or timezone.localdate()
        on_rope.queryset = roster.prefetch_related("prerequisites")
        ratios = rules_now().ratios
        words = [(key, f"{key}: {rule.get('students')} for one instructor") for key, rule in ratios.items()]
        if self.instance.work and self.instance.work not in ratios:
            words.append((self.instance.work, f"{self.instance.work}: the policy has it no more"))
        self.fields["work"] = forms.ChoiceField(
            choices=[("", "no ratio is asked"), *words], required=False, label="Kind of work, for the ratio"
        )
        for name in ("more_people", "more_instructors"):
            self.fields[name].required = False

        self.initial.setdefault("base", self.instance.saves)

    def clean_day(self) -> date:
        """A day that makes sense: none that has passed, unless the plan had it already."""
        day: date = self.cleaned_data["day"]
        today = timezone.localdate()
        before = Plan.objects.filter(pk=self.instance.pk).values_list("day", flat=True).first()
        if day < today and day != before:
            raise forms.ValidationError(f"{day} has passed; give today or a later day")
        if day > today + timedelta(days=FURTHEST):
            raise forms.ValidationError(f"{day} is more than three years off; check the year")
        return day

    def clean_more_people(self) -> int:
        """None stated is none."""
        return int(self.cleaned_data["more_people"] or 0)

    def clean_more_instructors(self) -> int:
        """None stated is none."""
        return int(self.cleaned_data["more_instructors"] or 0)

    def save(self, commit: bool = True) -> Any:
        """Keep it, and count that."""
        self.instance.saves += 1
        return super().save(commit)

    def clean(self) -> dict[str, Any]:
        """Nobody is taught by himself."""
        cleaned = super().clean()
        both = set(cleaned.get("people") or ()) & set(cleaned.get("instructors") or ())
        if both:
            names = ", ".join(sorted(person.name for person in both))
            self.add_error("instructors", f"{names} can't both go on rope and teach; choose one")
        return cleaned


def _rigs_in_use() -> list[tuple[int, str]]:
    rigs = Rig.objects.filter(put_away=None).values_list("pk", "title", "slug")
    return [(pk, title or slug) for pk, title, slug in rigs]


class _LineForm(PlainModelForm):
    class Meta:
        model = PlanLine
        fields = ["rig", "count", "station"]
        labels = {"count": "How many", "station": "Station"}
        widgets = {"rig": QuickSelect}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = Q(put_away=None) | (Q(pk=self.instance.rig_id) if self.instance.pk else Q())
        field = self.fields["rig"]
        field.queryset = Rig.objects.filter(kept)  # type: ignore[attr-defined]
        field.empty_label = "no rig"  # type: ignore[attr-defined]


@cache
def _types() -> Ready:
    return Ready(("", "nothing"), *((name, name) for name in kinds()))


class _ExtraForm(PlainModelForm):
    length = FigureField("length", 0.1, 1000.0, "a length", required=False, label="Least length")

    class Meta:
        model = PlanExtra
        fields = ["type", "count", "length", "size", "station"]
        labels = {"count": "How many", "size": "Size", "station": "For the station"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own = self.instance.type
        choices = _types() if not own or own in kinds() else Ready(*_types(), (own, own))
        self.fields["type"] = forms.ChoiceField(choices=choices, label="Type", widget=QuickSelect)


MOST_RIGS = 100
"""Rigs of one plan, each counted as often as it is rigged."""


class _Few(BaseInlineFormSet):  # type: ignore[type-arg]  # one base for two tables
    """Rows whose choices are asked of the store once, not once a row."""

    @property
    def empty_form(self) -> Any:
        """Not used: rows are added by the server."""
        raise NotImplementedError

    def add_fields(self, form: Any, index: int | None) -> None:
        """One list of rigs for all rows."""
        super().add_fields(form, index)
        rig = form.fields.get("rig")
        if rig is not None:
            if not hasattr(self, "_rigs"):
                self._rigs = Ready(("", "no rig"), *_rigs_in_use())
            own = form.instance.rig if form.instance.pk else None
            more = [] if own is None or any(pk == own.pk for pk, _ in self._rigs) else [(own.pk, str(own))]
            rig.widget.choices = Ready(*self._rigs, *more) if more else self._rigs


class _Rigs(_Few):
    row_words = "Rig"

    def clean(self) -> None:
        """More rigs than one day holds make a question that takes minutes to answer."""
        super().clean()
        rows = [
            form.cleaned_data for form in self.forms if form not in self.deleted_forms and form.is_valid()
        ]
        count = sum(row["count"] for row in rows if row.get("rig") and row.get("count"))
        if count > MOST_RIGS:
            raise forms.ValidationError(
                f"{count} rigs in all are more than a plan holds ({MOST_RIGS}); plan them as two, "
                "or one station at a time"
            )


class _Gear(_Few):
    row_words = "Gear"


LineForms = inlineformset_factory(
    Plan, PlanLine, form=_LineForm, formset=_Rigs, extra=4, max_num=40, absolute_max=60, validate_max=True
)
ExtraForms = inlineformset_factory(
    Plan, PlanExtra, form=_ExtraForm, formset=_Gear, extra=2, max_num=40, absolute_max=60, validate_max=True
)


class IssueForm(TakerForm):
    """To whom the items go, and until when; ``shown`` seals what the page showed.

    against: what speaks against the plan as it stands; with it nothing goes out before ``anyway`` is ticked.
    """

    shown = forms.CharField(widget=forms.HiddenInput, max_length=64)
    anyway = forms.BooleanField(
        error_messages={"required": "tick this to give out what there is, or mend the plan first"}
    )

    def __init__(self, *args: Any, against: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if against:
            self.fields["anyway"].label = f"Give out what there is, although {against}"
        else:
            del self.fields["anyway"]


def propose(
    asked: Mapping[str, str], form: PlanForm, rigs: Iterable[_LineForm], extras: Iterable[_ExtraForm]
) -> bool:
    """Fill a plan's form in as an address asks, row by row; whether anything differs from the plan then.

    A count of 0 ticks that the row is taken out; `off-7=yes` takes somebody off the rope.
    What is no count is passed over: the form decides again.
    """
    changed = False
    rows = [*(("rig", row) for row in rigs), *(("extra", row) for row in extras)]
    for what, row in rows:
        count = asked.get(f"{what}-{row.instance.pk}", "")
        if not (count.isascii() and count.isdecimal() and len(count) < 3):
            continue
        changed = changed or int(count) != row.instance.count
        row.initial["DELETE" if count == "0" else "count"] = int(count) or True
    off = {person.pk for person in form.initial.get("people", ()) if asked.get(f"off-{person.pk}") == "yes"}
    if off:
        form.initial["people"] = [one for one in form.initial["people"] if one.pk not in off]
        changed = True
    if asked.get("lend") == "yes" and not form.instance.lend:
        form.initial["lend"] = changed = True
    return changed
