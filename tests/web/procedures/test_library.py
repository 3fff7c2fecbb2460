"""The library: what is listed, what is searched for, and that three hundred cost no more queries than ten."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.policy.now import rules_now
from ropewright.web.procedures.models import Procedure, ProcedureVersion
from ropewright.web.procedures.source import sources_of
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.models import Working
from ropewright.web.workings.results import digest
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Work = Callable[[], None]


def test_an_empty_library_says_what_a_procedure_is(browser_of: BrowserOf) -> None:
    page = browser_of(Role.STUDENT).get("/procedures/").content.decode()
    assert "A procedure says step by step who does what on a rig" in page


def test_verdict_steps_rig_and_picture_stand_there_once_they_are_worked_out(
    browser_of: BrowserOf, procedure: Procedure, refused: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    assert "The list fills in by itself." in browser.get("/procedures/").content.decode()
    work()
    page = browser.get("/procedures/").content.decode()
    assert "The list fills in by itself." not in page
    assert "refused at step 3" in page
    assert "18 steps" in page
    assert 'href="/rigs/lane-on-clamps/"' in page
    address = page.split('<img class="first" src="')[1].split('"')[0]
    picture = browser.get(address)
    assert picture["Content-Type"] == "image/svg+xml"
    assert "immutable" in picture["Cache-Control"]
    assert picture.content.startswith(b"<svg")


def test_a_text_that_cant_be_used_is_listed_as_unusable(
    browser_of: BrowserOf, team: dict[Role, Account], work: Work
) -> None:
    made = Procedure.objects.create(slug="broken", title="Broken", rig_slug="none")
    made.save_version("procedure: Broken\nfrom: none.rig.yaml\n", team[Role.LEAD], title="Broken")
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/")
    work()
    page = browser.get("/procedures/").content.decode()
    assert "unusable" in page
    assert "none.rig.yaml, which the library does not have" in page


@pytest.mark.parametrize(
    ("query", "there"),
    [
        ("words=descent", True),
        ("words=ascent+clamps", True),
        ("words=litter", False),
        ("rig=lane-on-clamps", True),
        ("rig=other", False),
        ("put-away=1", False),
    ],
)
def test_the_search_asks_title_line_name_and_rig(
    browser_of: BrowserOf, procedure: Procedure, query: str, there: bool
) -> None:
    Procedure.objects.filter(pk=procedure.pk).update(title="Ascent to descent by clamps")
    page = browser_of(Role.STUDENT).get(f"/procedures/?{query}").content.decode()
    assert ("Ascent to descent by clamps" in page) is there


def test_what_is_put_away_stands_in_its_own_list(browser_of: BrowserOf, procedure: Procedure) -> None:
    Procedure.objects.filter(pk=procedure.pk).update(put_away=timezone.now())
    browser = browser_of(Role.STUDENT)
    assert "ascent-to-descent" not in browser.get("/procedures/").content.decode()
    assert "ascent-to-descent" in browser.get("/procedures/?put-away=1").content.decode()


@pytest.fixture
def three_hundred(team: dict[Role, Account]) -> None:
    make_rig("lane-on-clamps", team[Role.LEAD])
    texts = list(example_texts(".procedure.yaml"))
    made = Procedure.objects.bulk_create(
        Procedure(slug=f"p-{n}", title=f"Procedure {n}", latest=1, rig_slug="lane-on-clamps")
        for n in range(300)
    )
    ProcedureVersion.objects.bulk_create(
        ProcedureVersion(file=p, number=1, text=f"{texts[n % len(texts)][1]}# {n}\n", author=team[Role.LEAD])
        for n, p in enumerate(made)
    )
    short = {"verdict": "proved", "refused": None, "cautions": 0, "steps": 12}
    Working.objects.bulk_create(
        Working(key=digest("procedure-short", *s.parts), kind="procedure-short", data=short)
        for s in sources_of(made, rules_now()).values()
    )


def test_three_hundred_are_paged_and_cost_no_query_each(
    browser_of: BrowserOf, three_hundred: None, django_assert_max_num_queries: Any
) -> None:
    assert Rig.objects.count() == 1
    browser = browser_of(Role.STUDENT)
    with django_assert_max_num_queries(14):
        page = browser.get("/procedures/?page=6").content.decode()
    assert page.count('class="sheet procedure"') == 50
    assert "Page 6 of 6" in page
