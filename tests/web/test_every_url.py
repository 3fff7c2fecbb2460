"""Every address × every role × signed out, from one table that fails when an address is missing from it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from tests.web.addresses import Address, every_address
from tests.web.things import make_things

BrowserOf = Callable[[Role | None], Client]
WHO: tuple[Role | None, ...] = (None, *Role)


def _patterns(resolver: URLResolver, space: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            name = ":".join(part for part in (space, entry.namespace or entry.app_name) if part)
            yield from _patterns(entry, name)
        else:
            yield f"{space}:{entry.name}" if space else str(entry.name), entry


ALL = dict(_patterns(get_resolver()))
ADDRESSES = every_address()


def test_the_table_holds_every_address_and_no_other() -> None:
    assert set(ADDRESSES) == set(ALL)


@pytest.mark.parametrize("name", sorted(ALL))
def test_every_view_says_what_act_it_takes(name: str) -> None:
    assert hasattr(ALL[name].callback, "act"), f"mark the view of {name} with @may(...) or @open_to_all"


@pytest.mark.parametrize("name", sorted(ADDRESSES))
def test_only_those_of_the_table_are_let_in(
    name: str, browser_of: BrowserOf, team: dict[Role, Account]
) -> None:
    address = ADDRESSES[name]
    url = reverse(name, kwargs=make_things(address.kwargs, team[Role.LEAD]))
    for who in WHO:
        browser = browser_of(who)
        for method, let_in in (("get", address.get), ("post", address.post)):
            answer = getattr(browser, method)(url)
            status = answer.status_code
            list(answer)  # one that gives a file out holds it open until it is read
            assert _as_it_should(status, who, let_in, address), f"{method} {url} as {who}: {status}"


def _as_it_should(
    status: int, who: Role | None, let_in: frozenset[Role | None] | None, address: Address
) -> bool:
    """Whether an answer is one that the table allows."""
    if let_in is None:  # whoever may not come in at all may be refused before the method is looked at
        inside = who in (address.get or address.post or ())
        return status == 405 if inside else status in (302, 401, 403, 405)
    if who in let_in:
        return status < 400 or status in (400, 404, 409, 422)
    return status in (302, 401) if who is None else status in (401, 403)
