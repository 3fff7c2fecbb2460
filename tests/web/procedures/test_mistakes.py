"""Mistakes: the gravest first, what follows from them, and the picture of the moment after one."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.procedures.models import Procedure
from ropewright.web.workings.models import Working
from tests.web.procedures.things import make_procedure

BrowserOf = Callable[[Role | None], Client]
Work = Callable[[], None]


@pytest.fixture
def transfer(team: dict[Role, Account]) -> Procedure:
    """A shipped procedure in which a mistake lets somebody down."""
    return make_procedure("descent-to-ascent", team[Role.LEAD])


def test_the_gravest_come_first_and_each_leads_to_its_picture(
    browser_of: BrowserOf, transfer: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    assert "being worked out" in browser.get("/procedures/descent-to-ascent/mistakes/").content.decode()
    work()
    page = browser.get("/procedures/descent-to-ascent/mistakes/").content.decode()
    grave = page.split("Mistakes that leave somebody exposed</h2>")[1].split("<h2>")[0]
    said = re.findall(r'<span aria-hidden="true">✕</span> ([a-z ]+)</span>', grave)
    order = ["falls", "runs", "outside policy"]
    assert said
    assert said == sorted(said, key=order.index)
    assert "Critical steps" in page
    assert "left out: " in page.split("Critical steps</h2>")[1]
    number = int(re.findall(r"/mistakes/(\d+)/", grave)[0])
    opened = f"/procedures/descent-to-ascent/mistakes/{number}/"
    browser.get(opened)
    work()
    shown = browser.get(opened).content.decode()
    assert shown.count("<svg") == 2
    assert "Just before" in shown
    made = Working.objects.get(kind="procedure-mistakes").data["mistakes"][number]
    assert Working.objects.get(kind="procedure-mistake").data["steps"][-1]["n"] == made["at"]


def test_a_refused_procedure_says_that_mistakes_come_on_top(
    browser_of: BrowserOf, refused: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/too-early/mistakes/")
    work()
    assert (
        "the procedure itself is refused" in browser.get("/procedures/too-early/mistakes/").content.decode()
    )


def test_a_mistake_that_is_not_there_is_not_found(
    browser_of: BrowserOf, refused: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/too-early/mistakes/999/")
    work()
    assert browser.get("/procedures/too-early/mistakes/999/").status_code == 404
