"""A rig that states rules of its own says so wherever it says a verdict."""

from __future__ import annotations

from collections.abc import Callable

from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.comparing import column_of, differences_of
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.engine import summary_of
from tests.web.planning.things import make_plan
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]
SAID = "static-factor 2, the team asks 10 (looser)"


def _loose(team: Team) -> Rig:
    rig = make_rig("descent-locked-off", team[Role.LEAD])
    rig.save_version(rig.current.text + "\npolicy: {static-factor: 2}\n", team[Role.LEAD])
    rig.refresh_from_db()
    return rig


def test_the_page_says_them_beside_the_verdict(team: Team, browser_of: BrowserOf) -> None:
    _loose(team)
    page = browser_of(Role.STUDENT).get(reverse("rigs:open", args=("descent-locked-off",))).content.decode()
    head = page[page.index('id="verdict"') : page.index('id="picture"')]
    assert f"by rules of its own: {SAID}" in head
    assert "own rules, looser" in head
    assert "for the rest by the shipped policy" in head


def test_the_library_marks_it(team: Team, browser_of: BrowserOf) -> None:
    _loose(team)
    browser = browser_of(Role.STUDENT)
    card = browser.get(reverse("rigs:card", args=("descent-locked-off",))).content.decode()
    assert "own rules, looser" in card
    assert SAID in browser.get(reverse("rigs:library")).content.decode()


def test_a_rig_by_the_teams_rules_bears_no_such_mark(team: Team, browser_of: BrowserOf) -> None:
    make_rig("descent-locked-off", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(reverse("rigs:open", args=("descent-locked-off",)))
    assert "own rules" not in page.content.decode()


def test_a_comparison_says_whose_rules_judge(team: Team, browser_of: BrowserOf) -> None:
    columns = [column_of(_loose(team)), column_of(make_rig("descent-bar-rack", team[Role.LEAD]))]
    assert f"“descent-locked-off” is judged by rules of its own: {SAID}." in differences_of(columns)
    both = {"rig": ["descent-locked-off", "descent-bar-rack"]}
    page = browser_of(Role.STUDENT).get(reverse("rigs:compare"), both)
    assert "own rules, looser" in page.content.decode()


def test_the_editor_says_them_at_every_stage(team: Team, browser_of: BrowserOf) -> None:
    text, browser = _loose(team).current.text, browser_of(Role.INSTRUCTOR)
    for stage in ("first", "whole"):
        verdict = browser.post(reverse("rigs:live"), {"text": text, "stage": stage}).json()["verdict"]
        assert SAID in verdict, stage


def test_a_plan_warns_of_them_by_the_rigs_name(team: Team, browser_of: BrowserOf) -> None:
    _loose(team)
    plan = make_plan("Saturday", team[Role.LEAD], ("descent-locked-off", 1, ""))
    page = browser_of(Role.LEAD).get(reverse("planning:open", args=(plan.pk,))).content.decode()
    assert f"descent-locked-off is judged by rules of its own: {SAID}." in page


def test_what_is_kept_of_a_rig_holds_them(team: Team) -> None:
    assert summary_of(_loose(team).current.text)["own"] == {"mark": "own rules, looser", "told": SAID}
