"""The demo team's people. All of them are invented."""

from __future__ import annotations

from datetime import date, timedelta

from django.utils import timezone

from ropewright.web.people.models import Person, Prerequisite, SkillHeld

__all__ = ["LEAD", "fill"]

LEAD = "Ines Calloway"
# Name, own number, duty, mass [kg], pull [N] and reach [m] where measured, may go on rope, hauls.
_PEOPLE: tuple[tuple[str, str, str, float | None, float | None, float | None, bool, bool], ...] = (
    (LEAD, "TH-01", "leader", 74.0, None, None, True, False),
    ("Bram Oduya", "TH-02", "instructor", 91.0, 240.0, 0.9, True, True),
    ("Tove Lindqvist", "TH-03", "safety officer", 68.0, None, None, False, False),
    ("Ravi Marchetti", "TH-04", "rescuer", 88.0, 210.0, 0.8, True, True),
    ("Noor Haddon", "TH-05", "student", 78.0, None, None, True, True),
    ("Otis Pellerin", "TH-06", "student", 146.0, None, None, True, True),
    ("Maren Achterberg", "TH-07", "edge attendant", 71.5, None, None, True, False),
    ("Julian Weatherby", "TH-08", "rope operator", 83.0, None, None, True, False),
    ("Sanna Korhonen-Pike", "TH-09", "student", None, None, None, True, True),
    ("Dario Quillfeather", "TH-10", "rescuer", 95.0, 195.0, 0.75, True, True),
)
# Whose, what, days since it began, days until it expires (none: it holds).
_HAVE: tuple[tuple[str, str, int, int | None], ...] = (
    (LEAD, "medical", 300, 430),
    (LEAD, "instructor certificate", 500, 595),
    ("Bram Oduya", "medical", 690, 40),
    ("Bram Oduya", "first aid certificate", 1000, 95),
    ("Ravi Marchetti", "medical", 740, -10),
    ("Noor Haddon", "medical", 30, 700),
    ("Noor Haddon", "low-angle course", 400, None),
    ("Otis Pellerin", "medical", 20, 710),
    ("Dario Quillfeather", "first aid certificate", 1120, -25),
    ("Dario Quillfeather", "first aid certificate", 12, 1083),
    ("Maren Achterberg", "medical", 671, 59),
)
_SHOWN: tuple[tuple[str, str, int, int | None], ...] = (
    (LEAD, "knot pass, lowering", 1500, 120),
    ("Bram Oduya", "pick-off", 900, 60),
    ("Ravi Marchetti", "lower to raise", 420, 200),
    ("Noor Haddon", "ascend and descend", 90, None),
    ("Dario Quillfeather", "litter attendant, high angle", 800, 390),
)


def fill() -> None:
    """Make the roster, with what people have and have shown."""
    today = timezone.localdate()
    by_name = {}
    for name, mark, duty, mass, pull, reach, on_rope, hauls in _PEOPLE:
        by_name[name] = Person.objects.create(
            name=name,
            mark=mark,
            duty=duty,
            agency="Tern Harbor rescue team",
            mass=mass,
            weighed=None if mass is None else _ago(today, 45),
            pull=pull,
            pull_measured=None if pull is None else _ago(today, 45),
            reach=reach,
            on_rope=on_rope,
            hauls=hauls,
        )
    for name, kind, since, left in _HAVE:
        expires = None if left is None else today + timedelta(days=left)
        Prerequisite.objects.create(person=by_name[name], kind=kind, got=_ago(today, since), expires=expires)
    for name, skill, since, seen in _SHOWN:
        verified = None if seen is None else _ago(today, seen)
        SkillHeld.objects.create(
            person=by_name[name],
            skill=skill,
            since=_ago(today, since),
            verified=verified,
            source="paper sheet",
        )


def _ago(today: date, days: int) -> date:
    return today - timedelta(days=days)
