"""The demo team's people. All of them are invented."""

from __future__ import annotations

from ropewright.web.people.models import Person

__all__ = ["LEAD", "fill"]

LEAD = "Ines Calloway"
_PEOPLE = (
    (LEAD, "leader", 74.0),
    ("Bram Oduya", "instructor", 91.0),
    ("Tove Lindqvist", "safety officer", 68.0),
    ("Ravi Marchetti", "member", 88.0),
    ("Noor Haddon", "student", 78.0),
    ("Otis Pellerin", "student", 146.0),
)


def fill() -> None:
    """Make the roster."""
    Person.objects.bulk_create(Person(name=name, duty=duty, mass=mass) for name, duty, mass in _PEOPLE)
