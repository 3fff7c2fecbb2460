"""The demo's plan: a class of four stations on the next Saturday, with a little too little gear."""

from __future__ import annotations

from datetime import date, timedelta

from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person
from ropewright.web.planning.models import Plan, PlanExtra, PlanLine
from ropewright.web.rigs.models import Rig

__all__ = ["fill"]

_LITTER = (
    ("carabiner-locking", 14, ""), ("pulley-single", 4, ""), ("hitch-tandem", 2, "two-person"),
    ("sling", 5, ""), ("plate", 2, ""), ("roller", 2, ""), ("manikin", 1, ""),
)  # fmt: skip
_HAUL = (
    ("rope-12.5-low-stretch", 1, ""), ("lower-raise-device", 1, ""), ("carabiner-locking", 5, ""),
    ("pulley-single", 1, ""), ("hitch-tandem", 1, "two-person"), ("sling", 4, ""), ("plate", 1, ""),
    ("roller", 2, ""), ("manikin", 1, ""),
)  # fmt: skip
_LANE = (
    ("lower-raise-device", 1, ""), ("carabiner-locking", 10, ""), ("sling", 2, ""), ("roller", 1, ""),
    ("descender-self-braking", 1, ""), ("running-back-up", 1, ""), ("handled-clamp", 2, ""),
    ("chest-clamp", 2, ""),
)  # fmt: skip
# Station, rig, how many, what goes with each beside the rig.
_STATIONS = (
    ("S1 litter", "lower-two-tensioned", 1, _LITTER),
    ("S2 litter", "lower-two-tensioned", 1, _LITTER),
    ("S3 haul", "haul-3-1", 1, _HAUL),
    ("S4 lanes", "lane-on-descender", 2, _LANE),
)
_STUDENTS = ("Noor Haddon", "Otis Pellerin", "Sanna Korhonen-Pike", "Dario Quillfeather")
_STUDENTS_IN_ALL, _INSTRUCTORS_IN_ALL = 24, 4
_LONG = 60.96
"""The ropes [m] that the litter and haul stations are taught on."""


def fill() -> None:
    """Make the plan."""
    author = Account.objects.filter(username="ines").first() or Account.objects.order_by("pk")[0]
    plan = Plan.objects.create(
        title="Lower and raise class, four stations",
        day=_saturday(timezone.localdate()),
        more_people=_STUDENTS_IN_ALL - len(_STUDENTS),
        more_instructors=_INSTRUCTORS_IN_ALL - 1,
        work="at-height",
        note="Spares and what is taught beside each rig stand with its station.",
        made_by=author,
    )
    plan.people.set(Person.objects.filter(name__in=_STUDENTS))
    plan.instructors.set(Person.objects.filter(name="Bram Oduya"))
    for station, slug, count, extras in _STATIONS:
        PlanLine.objects.create(plan=plan, rig=Rig.objects.get(slug=slug), count=count, station=station)
        PlanExtra.objects.bulk_create(
            PlanExtra(
                plan=plan,
                station=station,
                type=kind,
                count=pieces,
                size=size,
                length=_LONG if kind == "rope-12.5-low-stretch" else None,
            )
            for kind, pieces, size in extras
        )


def _saturday(today: date) -> date:
    """The next Saturday that is not today."""
    return today + timedelta(days=(5 - today.weekday()) % 7 or 7)
