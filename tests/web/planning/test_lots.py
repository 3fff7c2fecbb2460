"""What went out for a plan and may no longer be used is told, and its lot is marked."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import states
from ropewright.web.gear.models import Event, Item
from ropewright.web.planning.answer import answer
from ropewright.web.planning.giving import give, seal
from ropewright.web.planning.lots import lots_of
from ropewright.web.planning.models import Plan
from ropewright.web.planning.paper import leaf_of
from ropewright.web.policy.now import rules_now
from tests.web.planning.things import lane_gear, make_plan

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


@pytest.fixture
def plan(team: Team) -> Plan:
    """A plan whose items are out; the cache has as many again."""
    lane_gear(2, (100,) * 4)
    plan = make_plan("Lane", team[Role.LEAD])
    give(plan, rules_now(), team[Role.LEAD], seal(answer(plan, rules_now())), None, None)
    return plan


def given(plan: Plan) -> list[Item]:
    return [line.item for line in plan.issues.get().lines.select_related("item")]


@pytest.fixture
def fall(plan: Plan, team: Team) -> Event:
    """An event that put all that was given out in doubt."""
    by = team[Role.LEAD]
    event = Event.objects.create(
        kind="fall", day=timezone.localdate(), text="A slip.", issue=plan.issues.get(), reported_by=by
    )
    for item in given(plan):
        states.quarantine(item.pk, "a fall", by, event=event)
    return event


def test_nothing_is_said_while_all_of_it_may_be_used(browser_of: BrowserOf, plan: Plan) -> None:
    text = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/").content.decode()
    assert "Yes: it can be rigged" in text
    assert "mark-stop" not in text.split('id="lots"')[1]


@pytest.mark.parametrize("address", ["", "pick-list/"])
def test_the_event_is_told_with_its_day(browser_of: BrowserOf, plan: Plan, fall: Event, address: str) -> None:
    count, today = len(given(plan)), timezone.localdate()
    text = browser_of(Role.CUSTODIAN).get(f"/plans/{plan.pk}/{address}").content.decode()
    assert f"{count} items are quarantined that went out for “Lane: tower-day-lane”, since {today}" in text
    assert f"by the event “a fall or a caught load, {today}”" in text
    assert "Other items are proposed in their place" in text
    assert "Yes: it can be rigged" not in text


def test_the_lot_is_marked_and_leads_to_the_event(browser_of: BrowserOf, plan: Plan, fall: Event) -> None:
    text = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/").content.decode()
    lot = text.split('id="lots"')[1].split("</ul>")[0]
    assert f"{len(given(plan))} quarantined" in lot
    assert f"/gear/events/{fall.pk}/" in lot
    assert f"{len(given(plan))} of the items given out for it may no longer be used" in text


def test_it_stands_on_the_printed_list(plan: Plan, fall: Event) -> None:
    leaf = leaf_of(answer(plan, rules_now()), rules_now())
    assert any("items are quarantined that went out" in line.text for line in leaf.wrong)
    assert leaf.verdict == "THE GEAR IS THERE, WITH OPEN QUESTIONS: SEE THE PLAN"


def test_what_an_inspection_retired_is_told_with_the_event_that_began_it(
    plan: Plan, fall: Event, team: Team
) -> None:
    first = given(plan)[0]
    states.retire(first.pk, "glazed", team[Role.LEAD])
    (lot,) = lots_of(plan)
    assert {(gone.state, gone.event) for gone in lot.gone} == {("quarantined", fall), ("retired", fall)}
    assert set(lot.told.split(", ")) == {"1 retired", f"{len(given(plan)) - 1} quarantined"}


def test_what_no_event_put_away_has_its_reason(plan: Plan, team: Team) -> None:
    states.quarantine(given(plan)[0].pk, "gate sticks", team[Role.LEAD])
    (lot,) = lots_of(plan)
    (gone,) = lot.gone
    assert (gone.event, gone.reason, gone.since) == (None, "gate sticks", timezone.localdate())


def test_the_questions_to_the_store_do_not_grow_with_the_items(
    plan: Plan, fall: Event, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    with django_assert_max_num_queries(3):  # type: ignore[attr-defined]
        lots_of(plan)
