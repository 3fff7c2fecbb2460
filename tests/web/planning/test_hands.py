"""How many people the rigs of a plan need at once, against how many it has."""

from __future__ import annotations

import pytest

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.planning.answer import answer
from ropewright.web.planning.models import Plan
from ropewright.web.planning.verdict import unknowns
from ropewright.web.policy.now import rules_now
from tests.web.planning.things import make_plan, somebody

Team = dict[Role, Account]


@pytest.fixture
def plan(team: Team) -> Plan:
    """A litter that two people lower, and two hauls by three people each."""
    rigs = (("litter-and-attendant", 1, "litter"), ("haul-3-1", 2, "haul"))
    return make_plan("Class", team[Role.LEAD], *rigs, more_instructors=0)


def _open(plan: Plan) -> list[str]:
    return [said for said in unknowns(answer(plan, rules_now())) if "planned" in said]


def test_one_person_for_a_litter_and_hauls_is_too_few(plan: Plan) -> None:
    plan.people.set([somebody("Ann", mass=60.0)])
    assert _open(plan) == ["1 person is planned where the rigs need 9 at once (1 on rope, 8 handling rope)"]


def test_a_plan_that_names_nobody_says_so(plan: Plan) -> None:
    assert _open(plan) == ["nobody is planned where the rigs need 9 at once (1 on rope, 8 handling rope)"]


def test_instructors_and_people_on_no_roster_count_too(plan: Plan) -> None:
    plan.people.set([somebody("Ann", mass=60.0)])
    plan.instructors.set([somebody("Bo")])
    plan.more_people, plan.more_instructors = 2, 2
    assert _open(plan) == ["6 people are planned where the rigs need 9 at once (1 on rope, 8 handling rope)"]
    plan.more_instructors = 5
    assert _open(plan) == []


def test_where_nobody_is_needed_nobody_is_asked_for(team: Team) -> None:
    plan = make_plan("Anchor", team[Role.LEAD], ("anchor-two-legs", 1, ""), more_instructors=0)
    assert _open(plan) == []
