"""Versions of a procedure, what differs, the file itself, and putting one away."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.procedures.models import Procedure

BrowserOf = Callable[[Role | None], Client]
PLACE = "/procedures/ascent-to-descent"


@pytest.fixture
def twice(procedure: Procedure, team: dict[Role, Account]) -> Procedure:
    """A procedure of two versions."""
    text = procedure.current.text.replace("minutes: 15", "minutes: 20")
    procedure.save_version(text, team[Role.INSTRUCTOR], note="more time", title="Ascent to descent")
    return procedure


def test_versions_are_listed_with_who_and_why(browser_of: BrowserOf, twice: Procedure) -> None:
    page = browser_of(Role.STUDENT).get(f"{PLACE}/versions/").content.decode()
    assert page.index("version 2") < page.index("version 1<")
    assert "Instructor Person" in page
    assert "more time" in page


def test_what_differs_is_shown_line_by_line(browser_of: BrowserOf, twice: Procedure) -> None:
    page = browser_of(Role.STUDENT).get(f"{PLACE}/differences/?from=1&to=2").content.decode()
    assert "− minutes: 15" in page
    assert "+ minutes: 20" in page
    assert browser_of(Role.STUDENT).get(f"{PLACE}/differences/?from=7").status_code == 404


def test_a_version_has_an_address_of_its_own(browser_of: BrowserOf, twice: Procedure) -> None:
    assert browser_of(Role.STUDENT).get(f"{PLACE}/versions/1/")["Location"] == f"{PLACE}/?version=1"


def test_the_file_is_sent_as_it_is(browser_of: BrowserOf, twice: Procedure) -> None:
    answer = browser_of(Role.STUDENT).get(f"{PLACE}/text/")
    assert answer.content.decode() == twice.current.text
    assert answer["Content-Disposition"] == 'attachment; filename="ascent-to-descent.procedure.yaml"'
    assert b"minutes: 15" in browser_of(Role.STUDENT).get(f"{PLACE}/text/?version=1").content


def test_what_is_put_away_is_kept_and_comes_back(browser_of: BrowserOf, procedure: Procedure) -> None:
    browser = browser_of(Role.INSTRUCTOR)
    browser.post(f"{PLACE}/put-away/")
    procedure.refresh_from_db()
    assert procedure.put_away is not None
    assert "Bring it back" in browser.get(f"{PLACE}/").content.decode()
    browser.post(f"{PLACE}/bring-back/")
    procedure.refresh_from_db()
    assert procedure.put_away is None
