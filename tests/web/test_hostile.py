"""Hostile values through every address: in the address, in the query, in every field of every form."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import cycle
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import NoReverseMatch, reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.workings.models import Working
from tests.web.addresses import Address, every_address
from tests.web.forms_of import Form, forms_of
from tests.web.things import make_things

SCRIPT = "\"><script>alert(1)</script>'{{ 7 }}"
ALIKE = (SCRIPT, "9" * 23)
"""What every field is sent at once."""
IN_TURN = ("²", "a\x00b\x07\u202e", "-1", "1e999", "9999-12-31", "0001-01-01", "[[[[{{&a *a")
"""What the fields are sent in turn."""
QUERY = ("page", "version", "from", "to", "rig", "words", "item", "kit", "like", "step", "against", "show")
ADDRESSES = {
    name: address
    for name, address in every_address().items()
    if name not in ("accounts:sign-out", "accounts:leave-everywhere")
}


class _Sent:
    """What a lead sends, and what broke."""

    def __init__(self, browser: Client) -> None:
        self.browser, self.faults, self.page = browser, list[str](), ""
        browser.raise_request_exception = False

    def send(self, method: str, url: str, data: dict[str, Any]) -> None:
        """Send it; note a fault of the program, and a page that holds the script as it was sent."""
        answer = getattr(self.browser, method)(url, data)
        body = b"".join(answer) if answer.streaming else answer.content
        markup = any(kind in answer.get("Content-Type", "") for kind in ("html", "svg"))
        self.page = body.decode() if markup else ""
        if answer.status_code >= 500:
            self.faults.append(f"{method} {url} {data}: {answer.status_code}")
        if "<script>alert" in self.page:
            self.faults.append(f"{method} {url} {data}: the script stands in the page")


def _hostile_addresses(name: str, kwargs: dict[str, Any]) -> Iterator[str]:
    for key in kwargs:
        for value in (*ALIKE, "²"):
            try:
                yield reverse(name, kwargs={**kwargs, key: value})
            except NoReverseMatch:  # the address itself takes no such word
                continue


def _hostile_files() -> Iterator[SimpleUploadedFile]:
    for name, content in (
        (f"{SCRIPT}.svg", b"<svg><script>alert(1)</script></svg>"),
        ("bomb.yaml", b"a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]"),
        ("table.csv", b"mark,name,<script>alert(1)</script>\n=1+1,\x00,1e999\n"),
        ("book.xlsx", b"PK\x03\x04" + bytes(60)),
    ):
        yield SimpleUploadedFile(name, content)


def _post(sent: _Sent, url: str, form: Form) -> None:
    sent.send("post", url, {})
    for value in ALIKE:
        sent.send("post", url, dict.fromkeys(form.fields, value))
    sent.send("post", url, dict(zip(form.fields, cycle(IN_TURN), strict=False)))
    for name in form.files:
        for content in _hostile_files():
            sent.send("post", url, {**form.fields, name: content})


def _sweep(sent: _Sent, name: str, address: Address, kwargs: dict[str, Any]) -> None:
    """Everything hostile that one address can be sent."""
    url = reverse(name, kwargs=kwargs)
    for odd in _hostile_addresses(name, kwargs):
        sent.send("get" if address.get else "post", odd, {})
    posts = [Form(url, "post", dict.fromkeys(("text", "act", "index", "base", "current", "back", "why"), ""))]
    asked = set(QUERY)
    if address.get:
        sent.send("get", url, {})
        forms = forms_of(sent.page)
        asked = asked.union(*(form.fields for form in forms if form.method == "get"))
        posts = [form for form in forms if form.method == "post" and form.action in ("", url)]
        for value in ALIKE:
            sent.send("get", url, dict.fromkeys(asked, value))
    for form in posts if address.post else ():
        _post(sent, url, form)


@pytest.mark.parametrize("name", sorted(ADDRESSES))
def test_nothing_hostile_breaks_an_address_or_stands_raw_in_its_page(
    name: str, team: dict[Role, Account], browser_of: Callable[[Role | None], Client]
) -> None:
    sent = _Sent(browser_of(Role.LEAD))
    _sweep(sent, name, ADDRESSES[name], make_things(ADDRESSES[name].kwargs, team[Role.LEAD]))
    assert not sent.faults, "\n".join(sent.faults)


def test_an_address_with_a_zero_byte_makes_no_sense(browser_of: Callable[[Role | None], Client]) -> None:
    answer = browser_of(Role.LEAD).get("/gear/?words=a%00b")
    assert answer.status_code == 400
    assert "made no sense" in answer.content.decode()


def test_what_is_tried_once_more_leads_back_nowhere_odd(browser_of: Callable[[Role | None], Client]) -> None:
    row = Working.objects.create(kind="way", key="a" * 64, state=Working.State.FAILED)
    answer = browser_of(Role.LEAD).post(f"/working/{row.key}/again/", {"back": "no name of a page"})
    assert answer.status_code == 302
