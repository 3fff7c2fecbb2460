"""The shell round every page."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.context import PLACES


@pytest.mark.parametrize(
    "path", ["/today/", "/rigs/", "/procedures/", "/gear/", "/people/", "/plans/", "/policy/"]
)
def test_the_places_stand_at_the_head_of_every_room(
    path: str, browser_of: Callable[[Role | None], Client]
) -> None:
    page = browser_of(Role.LEAD).get(path).content.decode()
    head = page.split("<main")[0]
    assert all(words.replace("&", "&amp;") in head for _, words, _, _ in PLACES)
    assert head.count('aria-current="page"') == 1


def test_nobody_is_shown_a_place_that_is_not_theirs(browser_of: Callable[[Role | None], Client]) -> None:
    head = browser_of(Role.STUDENT).get("/today/").content.decode().split("<main")[0]
    assert "/rigs/" in head
    assert "/people/" not in head
    assert "/plans/" not in head
