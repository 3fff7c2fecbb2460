"""Plans for tests."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.gear.models import Item, Kit
from ropewright.web.people.models import Person, Prerequisite
from ropewright.web.planning.models import Plan, PlanLine
from tests.web.rigs.things import make_rig
from tests.web.things import Maker

__all__ = ["LANE", "MAKERS", "SATURDAY", "lane_gear", "make_plan", "saturday", "somebody"]

SATURDAY = "Saturday"
LANE = "tower-day-lane"
ENOUGH = 20
_LANE_GEAR = (
    ("bar-rack", 2), ("descender-self-braking", 1), ("running-back-up", 1), ("carabiner-locking", 4),
    ("lanyard", 1), ("harness", 1),
)  # fmt: skip


def saturday() -> date:
    """A day within the year for which everything is inspected."""
    return timezone.localdate() + timedelta(days=10)


def make_plan(title: str, author: Account, *rigs: tuple[str, int, str], **known: Any) -> Plan:
    """A plan of rigs, each with how many and its station; one lane where none is named. It has people enough
    for every rope, where nobody says how many.
    """
    first = {"day": saturday(), "more_instructors": ENOUGH}
    plan = Plan.objects.create(title=title, made_by=author, **{**first, **known})
    for slug, count, station in rigs or ((LANE, 1, ""),):
        PlanLine.objects.create(plan=plan, rig=make_rig(slug, author), count=count, station=station)
    return plan


def somebody(name: str, **known: Any) -> Person:
    """Somebody of whom the roster has all that is asked."""
    person = Person.objects.create(name=name, **known)
    Prerequisite.objects.create(person=person, kind="medical")
    return person


def lane_gear(lanes: int, feet: tuple[float, ...], kit: str = "") -> None:
    """Gear for so many lanes, with ropes of these lengths; all inspected for a year."""
    due = timezone.localdate() + timedelta(days=365)
    box = Kit.objects.get_or_create(name=kit)[0] if kit else None
    rows: list[tuple[str, str, float | None]] = [
        ("rope-11-low-stretch", f"R{k + 1}", f * 0.3048) for k, f in enumerate(feet)
    ]
    rows += [(kind, f"{kind} {k + 1}", None) for kind, count in _LANE_GEAR for k in range(count * lanes)]
    Item.objects.bulk_create(
        Item(mark=mark, type=kind, length=length, next_due=due, kit=box) for kind, mark, length in rows
    )


MAKERS: dict[str, Maker] = {"plan": lambda title, author: make_plan(title, author).pk}
