"""A plan with a large rig in it waits for what that takes; nothing is given out by half an answer."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from ropewright import effort
from ropewright.web.access import Role
from ropewright.web.gear.models import Issue
from ropewright.web.planning.answer import answer
from ropewright.web.planning.giving import give, seal
from ropewright.web.planning.models import Plan
from ropewright.web.policy.now import rules_now
from ropewright.web.workings.models import Working
from ropewright.web.workings.waiting import StillWorkingError
from ropewright.web.workings.worker import run_waiting
from tests.web.conftest import Team, Watch
from tests.web.planning.things import LANE, lane_gear, make_plan, saturday

BrowserOf = Callable[[Role | None], Client]


@pytest.fixture
def plan(team: Team, heavy: None) -> Plan:
    lane_gear(2, (100,) * 4)
    return make_plan("Saturday", team[Role.LEAD], (LANE, 2, "Lanes"))


@pytest.fixture
def done(watch: Watch) -> list[str]:
    """The texts of which it was worked out what they take."""
    return watch("ropewright.web.planning.needs.prepare", effort.prepare)


@pytest.mark.parametrize("address", ["", "pick-list/", "pick-list.pdf"])
def test_every_page_of_it_waits_for_the_rig_and_then_answers(
    browser_of: BrowserOf, plan: Plan, done: list[str], address: str
) -> None:
    browser, url = browser_of(Role.LEAD), f"/plans/{plan.pk}/{address}"
    page = browser.get(url)
    assert (page.status_code, done) == (202, [])
    assert "it can be rigged" not in page.content.decode()
    assert [row.kind for row in Working.objects.all()] == ["needs of a rig"]
    assert run_waiting("large")
    assert not run_waiting("large")
    assert browser.get(url).status_code == 200
    assert len(done) == 1


def test_the_verdict_follows_once_it_is_worked_out(browser_of: BrowserOf, plan: Plan) -> None:
    browser, url = browser_of(Role.LEAD), f"/plans/{plan.pk}/"
    browser.get(url)
    run_waiting("large")
    assert "Yes: it can be rigged" in browser.get(url).content.decode()
    assert Working.objects.filter(kind="rig", state="done").exists()


def test_a_large_rig_of_another_plan_of_the_day_is_waited_for_too(
    browser_of: BrowserOf, plan: Plan, team: Team
) -> None:
    browser, url = browser_of(Role.LEAD), f"/plans/{plan.pk}/"
    browser.get(url)
    run_waiting("large")
    make_plan("Beside", team[Role.LEAD], ("haul-3-1", 1, ""))
    assert browser.get(url).status_code == 202
    run_waiting("large")
    assert "“Beside” that day" in browser.get(url).content.decode()


def test_lists_and_forms_of_plans_open_at_once(browser_of: BrowserOf, plan: Plan, done: list[str]) -> None:
    browser = browser_of(Role.LEAD)
    assert browser.get("/plans/").status_code == 200
    change = browser.get(f"/plans/{plan.pk}/change/")
    assert change.status_code == 200
    assert not done
    assert not Working.objects.exists()


def test_giving_out_waits_with_what_was_sent_and_gives_nothing_meanwhile(
    browser_of: BrowserOf, plan: Plan
) -> None:
    browser, url = browser_of(Role.LEAD), f"/plans/{plan.pk}/give-out/"
    sent = {"shown": "0" * 32, "until": str(saturday())}
    waits = browser.post(url, sent)
    text = waits.content.decode()
    assert waits.status_code == 202
    assert f'name="until" value="{saturday()}"' in text
    assert f'<form method="post" action="{url}">' in text
    assert not Issue.objects.exists()
    run_waiting("large")
    browser.post(url, {**sent, "shown": seal(answer(plan, rules_now()))})
    assert Issue.objects.count() == 2


def test_what_is_waited_for_undoes_a_giving_out_whole(plan: Plan, team: Team) -> None:
    with pytest.raises(StillWorkingError):
        give(plan, rules_now(), team[Role.LEAD], "", None, None)
    assert not Issue.objects.exists()


def test_a_text_with_faults_is_told_at_once(browser_of: BrowserOf, plan: Plan, team: Team) -> None:
    plan.lines.get().rig.save_version("rig: nothing\n", team[Role.LEAD], title="nothing")
    page = browser_of(Role.LEAD).get(f"/plans/{plan.pk}/")
    assert page.status_code == 200
    assert "can't be used" in page.content.decode()
    assert not Working.objects.filter(state="running").exists()
