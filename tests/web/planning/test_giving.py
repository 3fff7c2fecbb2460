"""Handing a plan's items to the gear room, and the list to pick them by."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import states
from ropewright.web.gear.models import Issue, Item
from ropewright.web.gear.refusals import IssueError
from ropewright.web.planning.answer import answer
from ropewright.web.planning.giving import give, seal
from ropewright.web.planning.models import Plan
from ropewright.web.planning.paper import leaf_of
from ropewright.web.policy.now import rules_now
from tests.web.planning.things import LANE, lane_gear, make_plan, saturday

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


@pytest.fixture
def plan(team: Team) -> Plan:
    lane_gear(2, (100,) * 4)
    return make_plan("Saturday", team[Role.LEAD], (LANE, 2, "Lanes"))


def shown(plan: Plan) -> str:
    return seal(answer(plan, rules_now()))


def test_each_rig_becomes_an_issue_with_the_part_of_each_item(browser_of: BrowserOf, plan: Plan) -> None:
    client = browser_of(Role.CUSTODIAN)
    response = client.post(f"/plans/{plan.pk}/give-out/", {"shown": shown(plan), "until": str(saturday())})
    assert response.status_code == 302
    made = list(plan.issues.order_by("pk"))
    assert [issue.what for issue in made] == ["Saturday: Lanes no. 1", "Saturday: Lanes no. 2"]
    assert {issue.until for issue in made} == {saturday()}
    assert {issue.rig_version for issue in made} == {plan.lines.get().rig.current}
    parts = set(made[0].lines.values_list("part", flat=True))
    assert {"working", "second", "descender", "harness of student", "lanyard 2 of backup"} <= parts
    assert Item.objects.filter(state="issued").count() == made[0].lines.count() * 2


def test_what_is_out_for_the_plan_still_counts_for_it(browser_of: BrowserOf, plan: Plan) -> None:
    client = browser_of(Role.LEAD)
    before = {(g.need, g.item.mark) for g in answer(plan, rules_now()).solved.allotment.given}
    client.post(f"/plans/{plan.pk}/give-out/", {"shown": shown(plan)})
    found = answer(plan, rules_now())
    assert found.can
    assert {(g.need, g.item.mark) for g in found.solved.allotment.given} == before
    text = client.get(f"/plans/{plan.pk}/").content.decode()
    assert "out for this plan" in text
    assert "Give these items out" not in text


def test_nothing_is_given_out_that_was_not_shown(browser_of: BrowserOf, plan: Plan, team: Team) -> None:
    old = shown(plan)
    states.quarantine(Item.objects.get(mark="R1").pk, "heat glaze", team[Role.LEAD])
    response = browser_of(Role.LEAD).post(f"/plans/{plan.pk}/give-out/", {"shown": old}, follow=True)
    assert "the store has changed since the page was opened" in response.content.decode()
    assert not Issue.objects.exists()


def test_the_same_items_are_not_given_out_twice(browser_of: BrowserOf, plan: Plan) -> None:
    client = browser_of(Role.LEAD)
    for _ in range(2):
        response = client.post(f"/plans/{plan.pk}/give-out/", {"shown": shown(plan)}, follow=True)
    assert "nothing of it is left to give out" in response.content.decode()
    assert Issue.objects.count() == 2


def test_what_cannot_be_rigged_as_planned_is_given_out_only_where_somebody_says_so(
    browser_of: BrowserOf, plan: Plan
) -> None:
    Item.objects.filter(mark="R1").delete()
    client, url, sent = browser_of(Role.LEAD), f"/plans/{plan.pk}/give-out/", {"shown": shown(plan)}
    refused = client.post(url, sent)
    assert refused.status_code == 422
    text = refused.content.decode()
    assert "Give out what there is, although the plan can&#x27;t be rigged as planned" in text
    assert text.index("Nothing was given out.") < text.index("Verdict")
    assert "tick this to give out what there is, or mend the plan first" in text
    assert not Issue.objects.exists()
    assert client.post(url, {**sent, "anyway": "on"}).status_code == 302
    assert Issue.objects.count() == 2


def test_a_rig_outside_policy_is_named_before_its_gear_goes_out(browser_of: BrowserOf, team: Team) -> None:
    lane_gear(1, (100, 100))
    plan = make_plan("Wrong", team[Role.LEAD], (LANE, 1, "Lane"), ("wrong-device-reversed", 1, "Post"))
    found = answer(plan, rules_now())
    Item.objects.bulk_create(
        Item(mark=f"more {n} {k}", type=need.type, length=need.length, next_due=saturday())
        for n, need in enumerate(found.solved.allotment.needs)
        for k in range(found.solved.allotment.unmet[n])
    )
    text = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/").content.decode()
    assert "Give out what there is, although Post is outside policy as it is written</label>" in text


def test_a_plan_that_turned_is_not_given_out_unasked(plan: Plan, team: Team) -> None:
    Item.objects.filter(mark="R1").delete()
    with pytest.raises(IssueError, match="tick that what there is goes out all the same"):
        give(plan, rules_now(), team[Role.LEAD], shown(plan), None, None)


def test_no_tick_is_asked_where_all_can_be_rigged(browser_of: BrowserOf, plan: Plan) -> None:
    text = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/").content.decode()
    assert 'name="anyway"' not in text


def test_a_day_that_has_passed_is_refused(browser_of: BrowserOf, plan: Plan) -> None:
    response = browser_of(Role.LEAD).post(
        f"/plans/{plan.pk}/give-out/", {"shown": shown(plan), "until": "2001-02-03"}
    )
    assert response.status_code == 422
    assert not Issue.objects.exists()


def test_the_pick_list_names_every_item_and_no_person(browser_of: BrowserOf, plan: Plan) -> None:
    text = browser_of(Role.AUDITOR).get(f"/plans/{plan.pk}/pick-list/").content.decode()
    for mark in ("R1", "R4", "harness 2"):
        assert mark in text


def test_the_pick_list_is_a_pdf(browser_of: BrowserOf, plan: Plan) -> None:
    response = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/pick-list.pdf")
    assert response.headers["Content-Type"] == "application/pdf"
    assert response.content.startswith(b"%PDF")


def test_the_printed_list_says_what_is_missing(plan: Plan) -> None:
    Item.objects.filter(mark="R1").delete()
    leaf = leaf_of(answer(plan, rules_now()), rules_now())
    assert leaf.verdict == "CAN'T BE RIGGED AS PLANNED"
    missing = [line for block in leaf.blocks for line in block.lines if line.lead == "Missing:"]
    assert [line.text for line in missing] == ["1 × rope-11-low-stretch, 27.4 m (90 ft) (second)"]
    assert sum(len(block.table) for block in leaf.blocks) == 23
