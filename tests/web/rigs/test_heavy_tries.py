"""What if, and who can work it, of a large rig: what takes seconds is waited for, and comes out the same."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.rigs.models import Rig
from ropewright.web.workings import size
from ropewright.web.workings.models import Working
from ropewright.web.workings.worker import run_waiting
from tests.web.conftest import Team
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
HTMX = {"HX-Request": "true"}
TRIES = [
    ("what-if", [], {"mass.weight": "150", "people.haulers": "2"}),
    ("what-if-figures", [], {"mass.weight": "150"}),
    ("what-if-text", [], {"mass.weight": "150"}),
    ("crew", [1], {}),
]


@pytest.fixture
def rig(team: Team) -> Rig:
    return make_rig("haul-3-1", team[Role.LEAD])


def _plain(page: bytes) -> str:
    """A page without what differs from one opening to the next."""
    return re.sub(r'"[0-9A-Za-z]{32,64}"', '""', page.decode())


@pytest.mark.parametrize(("name", "more", "query"), TRIES)
@pytest.mark.parametrize("role", [Role.LEAD, Role.INSTRUCTOR])
def test_it_waits_and_then_says_what_a_small_one_says(
    rig: Rig,
    browser_of: BrowserOf,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    more: list[int],
    query: dict[str, str],
    role: Role,
    anew: None,
) -> None:
    browser, url = browser_of(role), reverse(f"rigs:{name}", args=[rig.slug, *more])
    small = browser.get(url, query, headers=HTMX)
    Working.objects.all().delete()
    monkeypatch.setattr(size, "MOST_AT_ONCE", 0)
    waits = browser.get(url, query, headers=HTMX)
    assert waits.status_code == 202
    assert f'hx-get="{url}' in waits.content.decode()
    while browser.get(url, query, headers=HTMX).status_code == 202:
        assert run_waiting("large")
    shown = browser.get(url, query, headers=HTMX)
    assert _plain(shown.content) == _plain(small.content)
    assert not Working.objects.exclude(state=Working.State.DONE).exists()


def test_nobodys_name_stands_in_what_is_asked(rig: Rig, browser_of: BrowserOf, heavy: None) -> None:
    browser_of(Role.LEAD).get(reverse("rigs:crew", args=[rig.slug, 1]))
    asked = Working.objects.get(kind="rig-crew").asked
    assert asked["people"]
    assert "Person" not in str(asked)
    run_waiting("large")
    assert Working.objects.get(kind="rig-crew").asked == {}
