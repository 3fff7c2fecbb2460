"""Finding people, what runs out, and the roster as the engine takes it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.people.expiry import running_out, standing, standings
from ropewright.web.people.models import Person, Prerequisite
from ropewright.web.people.roster import engine_people, never_hauls, without_mass

Browser = Callable[[Role | None], Client]
TODAY = date(2026, 5, 4)
pytestmark = pytest.mark.django_db


def person(name: str = "Maren Achterberg", **more: object) -> Person:
    return Person.objects.create(name=name, **more)


def has(someone: Person, kind: str, days: int | None) -> Prerequisite:
    expires = None if days is None else TODAY + timedelta(days=days)
    return Prerequisite.objects.create(person=someone, kind=kind, expires=expires)


@pytest.mark.parametrize(
    ("days", "mark", "words"),
    [
        (None, "current", "current, no date of expiry"),
        (61, "current", "current"),
        (60, "due", "expires in 60 days"),
        (1, "due", "expires in 1 day"),
        (0, "due", "expires today"),
        (-1, "expired", "expired 1 day ago"),
        (-30, "expired", "expired 30 days ago"),
    ],
)
def test_how_something_that_expires_stands(days: int | None, mark: str, words: str) -> None:
    found = standing(has(person(), "medical", days), TODAY)
    assert (found.mark, found.words) == (mark, words)


def test_a_later_one_of_the_same_kind_replaces_what_has_run_out() -> None:
    someone = person()
    has(someone, "medical", -30), has(someone, "medical", 300)
    assert sorted(each.mark for each in standings(someone.prerequisites.all(), TODAY)) == [
        "current",
        "replaced",
    ]
    assert list(running_out(TODAY)) == []


def test_what_runs_out_within_sixty_days_is_listed_the_most_pressing_first() -> None:
    someone, gone = person(), person("Otis Pellerin", active=False)
    for kind, days in (("medical", 60), ("first aid certificate", -3), ("course", 61), ("age", None)):
        has(someone, kind, days)
    has(gone, "medical", -3)
    assert [each.kind for each in running_out(TODAY)] == ["first aid certificate", "medical"]


@pytest.mark.parametrize(
    ("query", "names"),
    [
        ({"q": "maren"}, ["Maren Achterberg"]),
        ({"q": "TH-09"}, ["Sanna Pike"]),
        ({"q": "pike student"}, ["Sanna Pike"]),
        ({"duty": "safety officer"}, ["Maren Achterberg"]),
        ({"can": "rope"}, ["Sanna Pike"]),
        ({"can": "haul"}, ["Maren Achterberg"]),
        ({"which": "all"}, ["Maren Achterberg", "Otis Pellerin", "Sanna Pike"]),
        ({"which": "inactive"}, ["Otis Pellerin"]),
        ({"which": "nonsense", "can": "fly"}, ["Maren Achterberg", "Sanna Pike"]),
        ({"q": "nobody of this name"}, []),
    ],
)
def test_people_are_found(client: Client, query: dict[str, str], names: list[str]) -> None:
    person(duty="safety officer", on_rope=False)
    person("Sanna Pike", mark="TH-09", duty="student", hauls=False)
    person("Otis Pellerin", active=False)
    client.force_login(Account.objects.create_user("reader", role=Role.AUDITOR))
    answer = client.get(reverse("people:roster"), query)
    assert [row["person"].name for row in answer.context["rows"]] == names
    assert ("Nobody fits." in answer.text) == (not names)


def test_the_engine_gets_those_who_are_active_and_weighed() -> None:
    person(mass=71.5, pull=240.0, reach=0.9, duty="rescuer")
    person("Otis Pellerin", mass=146.0, active=False)
    person("Sanna Pike")
    (one,) = engine_people()
    assert (one.name, one.mass.likely, one.role.name, one.role.hauls) == (
        "Maren Achterberg",
        71.5,
        "rescuer",
        True,
    )
    assert one.pull is not None
    assert one.reach is not None
    assert (one.pull.likely, one.reach.likely) == (240.0, 0.9)
    assert without_mass() == ("Sanna Pike",)


@pytest.mark.parametrize(
    ("duty", "on_rope", "hauls", "rope_then", "hauls_then"),
    [
        ("safety officer", True, True, False, False),
        ("SO", True, True, False, False),
        ("leader", True, True, False, False),
        ("student", True, True, True, True),
        ("student", False, True, False, True),
        ("student", True, False, True, False),
        ("radio", True, True, True, True),
    ],
)
def test_nobody_hauls_whose_duty_forbids_it(
    duty: str, on_rope: bool, hauls: bool, rope_then: bool, hauls_then: bool
) -> None:
    someone = person(duty=duty, on_rope=on_rope, hauls=hauls, mass=80.0)
    (one,) = engine_people()
    assert (one.role.rope, one.role.hauls) == (rope_then, hauls_then)
    assert bool(never_hauls(someone)) == (hauls and not hauls_then)


def test_two_of_one_name_are_told_apart_for_the_engine() -> None:
    person(mass=71.5, mark="TH-07")
    person(mass=93.0, mark="TH-17")
    assert [one.name for one in engine_people()] == ["Maren Achterberg (TH-07)", "Maren Achterberg (TH-17)"]


def test_the_roster_of_two_hundred_asks_the_store_little(
    browser_of: Browser, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    for k in range(200):
        has(person(f"Member {k}", duty="rescuer"), "medical", 10)
    browser = browser_of(Role.INSTRUCTOR)
    for name in ("roster", "running-out"):
        with django_assert_max_num_queries(10):  # type: ignore[attr-defined]
            assert browser.get(reverse(f"people:{name}")).status_code == 200
