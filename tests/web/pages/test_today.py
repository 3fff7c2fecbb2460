"""Today's page: what wants doing, for those whom it concerns."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django.fixtures import DjangoAssertNumQueries

from ropewright.web.access import Role
from ropewright.web.gear.models import Item
from ropewright.web.people.models import Person, Prerequisite
from tests.web.conftest import Team
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]


def _today(browser_of: BrowserOf, role: Role = Role.LEAD) -> str:
    return browser_of(role).get("/today/").content.decode()


def test_where_nothing_wants_doing_it_says_so(browser_of: BrowserOf) -> None:
    assert "Nothing is due" in _today(browser_of)


def test_what_is_due_and_quarantined_is_told_with_its_page(browser_of: BrowserOf) -> None:
    day = timezone.localdate()
    rope = "rope-11-low-stretch"
    Item.objects.create(mark="R-1", type=rope, next_due=day - timedelta(days=1))
    Item.objects.create(mark="R-2", type=rope)
    Item.objects.create(mark="R-3", type=rope, next_due=day)
    Item.objects.create(mark="R-4", type=rope, state=Item.State.QUARANTINED)
    page = _today(browser_of)
    assert "2 items past the inspection date, or without one" in page
    assert "1 item to be inspected or retired" in page


@pytest.mark.parametrize(("role", "told"), [(Role.LEAD, True), (Role.STUDENT, False)])
def test_who_may_not_see_people_is_not_told_of_them(
    browser_of: BrowserOf, team: Team, role: Role, told: bool
) -> None:
    person = Person.objects.create(name="Somebody")
    Prerequisite.objects.create(person=person, kind="medical", expires=timezone.localdate())
    page = _today(browser_of, role)
    assert ("prerequisite" in page) is told
    assert ("<dt>People</dt>" in page) is told


def test_it_asks_the_store_no_more_the_more_there_is(
    browser_of: BrowserOf, team: Team, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for slug in ("haul-3-1", "haul-2-1", "haul-9-1", "haul-5-1"):
        make_rig(slug, team[Role.LEAD])
    browser = browser_of(Role.LEAD)
    with django_assert_max_num_queries(16):
        browser.get("/today/")
