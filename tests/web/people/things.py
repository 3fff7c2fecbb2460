"""People, what they have and what they have shown, for tests."""

from __future__ import annotations

from datetime import date

from ropewright.web.people.models import Person, Prerequisite, SkillHeld
from tests.web.things import Maker

__all__ = ["MAKERS", "PRIVATE_TEXTS", "make_person"]

PRIVATE_TEXTS = (
    "83.3",
    "184 lb",
    "0.27 kN",
    "271.0",
    "61 lbf",
    "0.77",
    "2.5 ft",
    "left shoulder",
    "2026-02-03",
    "2026-02-04",
)
"""How the private figures of `make_person` could be printed; none of these stands in anything else of it,
and none can stand in a random token."""


def make_person(name: str) -> Person:
    """Somebody with every private figure, a medical and a skill."""
    found = Person.objects.filter(name=name).first()
    if found:
        return found
    made = Person.objects.create(
        name=name,
        duty="rescuer",
        mass=83.3,
        weighed=date(2026, 2, 3),
        pull=271.0,
        pull_measured=date(2026, 2, 4),
        reach=0.77,
        limits="spare the left shoulder",
    )
    Prerequisite.objects.create(person=made, kind="medical", got=date(2025, 6, 1))
    SkillHeld.objects.create(person=made, skill="knot pass", since=date(2025, 6, 1))
    return made


MAKERS: dict[str, Maker] = {
    "person": lambda name, _author: make_person(name).pk,
    "prerequisite": lambda kind, _author: (
        Prerequisite.objects.get(person=make_person("Alma Vintner"), kind=kind).pk
    ),
    "skill": lambda skill, _author: SkillHeld.objects.get(person=make_person("Alma Vintner"), skill=skill).pk,
}
