"""Finding a way between two rigs, keeping it as a procedure, and what is said where there is none."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.procedures import ways
from ropewright.web.procedures.models import Procedure
from ropewright.web.workings.models import Working
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Work = Callable[[], None]
ADDRESS = "/procedures/find/"


def asked(start: str, goal: str, **more: str) -> dict[str, str]:
    return {"start": start, "goal": goal, "seconds": "60", **more}


def test_a_way_is_shown_as_a_storyboard_with_what_was_refused_and_can_be_kept(
    browser_of: BrowserOf, team: dict[Role, Account], work: Work
) -> None:
    for slug in ("lane-on-clamps", "lane-on-descender"):
        make_rig(slug, team[Role.LEAD])
    browser = browser_of(Role.INSTRUCTOR)
    sent = browser.post(ADDRESS, asked("lane-on-clamps", "lane-on-descender"))
    assert sent.status_code == 302
    assert "Searching a way" in browser.get(sent["Location"]).content.decode()
    for _ in range(3):  # the search, then the proof of what it found, then the pictures
        work()
        page = browser.get(sent["Location"]).content.decode()
    count = len(Working.objects.get(kind="way").data["steps"])
    assert f"A way of {count} steps" in page
    assert "played once more by itself" in page
    assert page.count('<article class="step"') == count + 1
    assert "upper comes off working, and descender was not tested since" in page
    keep = f"{sent['Location']}keep/"
    assert browser.post(keep, {"title": " "}).status_code == 422
    assert browser_of(Role.STUDENT).post(keep, {"title": "Mine"}).status_code == 403
    kept = browser.post(keep, {"title": 'From "clamps": down'})
    assert kept["Location"] == "/procedures/from-clamps-down/"
    made = Procedure.objects.get()
    assert (made.title, made.rig_slug) == ('From "clamps": down', "lane-on-clamps")
    browser.get(kept["Location"])
    work()
    page = browser.get(kept["Location"]).content.decode()
    assert "no step refused" in page


def test_where_there_is_none_it_says_how_far_it_came_and_what_was_tried_besides(
    browser_of: BrowserOf, team: dict[Role, Account], work: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ways, "TRIAL_SECONDS", 0.5)
    start, goal = (make_rig(slug, team[Role.LEAD]) for slug in ("lane-on-clamps", "lane-on-descender"))
    goal.save_version(goal.current.text.replace("grip backup", "grip backup reversed"), team[Role.LEAD])
    row = ways.ask_way(start, goal, (), 1)
    work()
    page = browser_of(Role.STUDENT).get(f"{ADDRESS}{row.key}/").content.decode()
    assert "No way found" in page
    assert "Not yet done then: " in page
    assert "a second line for student" in page


@pytest.mark.parametrize(
    ("start", "goal", "says"),
    [
        ("lane-on-clamps", "lane-on-clamps", "This is the rig that it starts from; choose another."),
        ("lane-on-clamps", "haul-3-1", "The two rigs name different loads: student in the first"),
        ("lane-on-clamps", "", "This field is required."),
        ("lane-on-clamps", "no-such-rig", "Select a valid choice."),
    ],
)
def test_rigs_between_which_no_way_can_lead_are_refused_with_the_reason(
    browser_of: BrowserOf, team: dict[Role, Account], start: str, goal: str, says: str
) -> None:
    for slug in ("lane-on-clamps", "haul-3-1"):
        make_rig(slug, team[Role.LEAD])
    answer = browser_of(Role.LEAD).post(ADDRESS, asked(start, goal))
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not Working.objects.filter(kind="way").exists()


def test_a_rig_that_cant_be_used_is_named_with_its_fault(
    browser_of: BrowserOf, team: dict[Role, Account]
) -> None:
    make_rig("lane-on-clamps", team[Role.LEAD])
    make_rig("haul-3-1", team[Role.LEAD]).save_version("rig: Nothing\n", team[Role.LEAD])
    page = browser_of(Role.LEAD).post(ADDRESS, asked("lane-on-clamps", "haul-3-1")).content.decode()
    assert "This rig can&#x27;t be used yet: line 1:" in page


def test_gear_brought_along_gets_names_that_neither_rig_has(
    browser_of: BrowserOf, team: dict[Role, Account]
) -> None:
    for slug in ("lane-on-clamps", "lane-on-descender"):
        make_rig(slug, team[Role.LEAD])
    more = {"extra_1": "pulley-single", "extra_3": "pulley-single"}
    browser_of(Role.LEAD).post(ADDRESS, asked("lane-on-clamps", "lane-on-descender", **more))
    extra = Working.objects.get(kind="way").asked["extra"]
    assert extra == ["pulley-single=pulley-single", "pulley-single-2=pulley-single"]
