"""People whom the roster has something against are told of, in the plan and where they are chosen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person, Prerequisite
from ropewright.web.planning.answer import answer
from ropewright.web.planning.models import Plan
from ropewright.web.planning.standing import doubts_of, marked
from ropewright.web.policy.now import rules_now
from tests.web.planning.things import lane_gear, make_plan, saturday, somebody

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


@pytest.fixture
def plan(team: Team) -> Plan:
    lane_gear(1, (100, 100))
    return make_plan("Lane", team[Role.LEAD])


def page(browser_of: BrowserOf, address: str, role: Role = Role.LEAD) -> str:
    return browser_of(role).get(address).content.decode().split("Give these items out")[0]


def verdict_of(text: str) -> str:
    return text.split('class="big">')[1].split("</p>")[0]


def of_medical(name: str, days: int) -> Person:
    """Somebody whose medical ends so many days after the plan's day."""
    person = Person.objects.create(name=name, mass=80.0)
    Prerequisite.objects.create(person=person, kind="medical", expires=saturday() + timedelta(days=days))
    return person


def test_who_may_not_go_on_rope_stops_the_plan_by_name(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([somebody("Tove Lind", mass=68.0, on_rope=False)])
    text = page(browser_of, f"/plans/{plan.pk}/")
    assert "No: not as planned" in verdict_of(text)
    assert "May not go on rope by the roster: Tove Lind." in text


def test_what_expires_before_the_day_qualifies_the_yes(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([of_medical("Ravi Mar", -3)])
    text = page(browser_of, f"/plans/{plan.pk}/")
    assert "The gear is there, but the roster has something against 1 person that day" in verdict_of(text)
    assert "Ravi Mar: medical expired 3 days ago" in text
    assert answer(plan, rules_now()).can


def test_what_holds_on_the_day_says_nothing(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([of_medical("Ravi Mar", 0)])
    assert "Yes: it can be rigged" in verdict_of(page(browser_of, f"/plans/{plan.pk}/"))


@pytest.mark.django_db
def test_a_later_one_of_the_kind_replaces_what_has_expired() -> None:
    person = of_medical("Dario", -9)
    later = Prerequisite.objects.create(person=person, kind="medical", expires=saturday())
    assert doubts_of(person, saturday()) == []
    later.delete()
    assert doubts_of(person, saturday()) == ["medical expired 9 days ago"]


def test_of_whom_nothing_is_entered_is_told(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([Person.objects.create(name="Noor Had", mass=78.0)])
    text = page(browser_of, f"/plans/{plan.pk}/", Role.AUDITOR)
    assert "Noor Had: nothing entered: medical, certificates and what else must be there" in text


@pytest.mark.django_db
def test_who_left_the_team_or_stands_elsewhere_by_duty_is_told() -> None:
    assert doubts_of(somebody("Jo", active=False), saturday()) == ["no longer active on the roster"]
    assert doubts_of(somebody("Bea", duty="rope operator"), saturday()) == [
        "by duty rope operator, whom no rig counts on rope"
    ]


@pytest.mark.django_db
def test_where_they_are_chosen_it_stands_beside_their_names(browser_of: BrowserOf) -> None:
    somebody("Tove Lind", on_rope=False)
    of_medical("Ravi Mar", -400)
    Person.objects.create(name="Noor Had")
    somebody("Ann")
    text = page(browser_of, "/plans/new/")
    on_rope, teaching = text.split("Who teaches, from the roster")
    assert "Tove Lind (may not go on rope)" in on_rope
    assert "Ravi Mar (medical expired" in on_rope
    assert "Noor Had (nothing entered)" in on_rope
    assert "(may not go on rope)" not in teaching
    assert marked(Person.objects.get(name="Ann"), saturday()) == "Ann"


def test_the_pick_list_counts_them_and_names_nobody(browser_of: BrowserOf, plan: Plan) -> None:
    plan.people.set([somebody("Tove Lind", mass=68.0, on_rope=False)])
    text = page(browser_of, f"/plans/{plan.pk}/pick-list/")
    assert "May not go on rope by the roster: 1 of those whom the plan puts there." in text
    assert "Tove" not in text
