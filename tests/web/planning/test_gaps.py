"""What nobody wrote down of the items proposed is counted and listed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear.models import Item
from ropewright.web.planning.answer import answer
from ropewright.web.planning.gaps import MOST_LISTED, gaps_told
from ropewright.web.planning.models import Plan, PlanExtra
from ropewright.web.planning.paper import leaf_of
from ropewright.web.policy.now import rules_now
from tests.web.planning.things import lane_gear, make_plan

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


@pytest.fixture
def plan(team: Team) -> Plan:
    """A lane whose items have all on record."""
    lane_gear(1, (100, 100))
    today = timezone.localdate()
    Item.objects.update(strength=40_000.0, serial="lot 7", textile=True, made=today - timedelta(days=300))
    return make_plan("Lane", team[Role.LEAD])


def told(plan: Plan) -> list[str]:
    return list(gaps_told(answer(plan, rules_now())))


def test_nothing_is_said_where_all_is_on_record(plan: Plan) -> None:
    assert told(plan) == []


def test_an_age_that_cannot_be_told(plan: Plan) -> None:
    Item.objects.filter(mark__in=["R1", "R2"]).update(made=None)
    assert told(plan) == [
        "Age can't be told, no date of making, buying or first use is known: "
        "2 of the items proposed (R1, R2)."
    ]


def test_metal_has_no_age(plan: Plan) -> None:
    Item.objects.filter(mark="R1").update(made=None, textile=False)
    assert told(plan) == []


def test_textiles_past_the_policys_age(plan: Plan) -> None:
    Item.objects.filter(mark="R1").update(made=timezone.localdate() - timedelta(days=9000))
    assert told(plan) == [
        "Past the age that the policy allows textiles, on that day: 1 of the items proposed (R1)."
    ]


def test_a_maker_that_cannot_be_told(plan: Plan) -> None:
    Item.objects.filter(mark="harness 1").update(serial="")
    (text,) = told(plan)
    assert text.startswith("Maker can't be told")
    assert "1 of the items proposed (harness 1)" in text


def test_no_strength_on_record(plan: Plan) -> None:
    Item.objects.filter(mark="R1").update(strength=None)
    (text,) = told(plan)
    assert text.startswith("No strength on record: 1 of the items proposed (R1). The figure that the rig's")


def test_long_lists_are_counted(plan: Plan) -> None:
    Item.objects.update(serial="")
    PlanExtra.objects.create(plan=plan, type="manikin", count=2)
    for mark in ("X1", "X2"):
        Item.objects.create(mark=mark, type="manikin", next_due=plan.day)
    (text,) = told(plan)
    listed = text.split("(")[1]
    assert f"{MOST_LISTED + 2} of the items proposed" in text
    assert listed.count(",") == MOST_LISTED - 1
    assert listed.endswith(" and 2 more).")


@pytest.mark.parametrize("address", ["", "pick-list/"])
def test_plan_and_pick_list_say_it(browser_of: BrowserOf, plan: Plan, address: str) -> None:
    Item.objects.filter(mark="R1").update(made=None)
    text = browser_of(Role.CUSTODIAN).get(f"/plans/{plan.pk}/{address}").content.decode()
    assert "1 of the items proposed (R1)" in text


def test_the_printed_list_says_it(plan: Plan) -> None:
    Item.objects.filter(mark="R1").update(made=None)
    leaf = leaf_of(answer(plan, rules_now()), rules_now())
    assert any("1 of the items proposed (R1)" in line.text for line in leaf.wrong)
    assert leaf.caution
