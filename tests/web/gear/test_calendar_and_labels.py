"""The calendar feed and its secrets; labels to print."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import timedelta

import icalendar
import pytest
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import calendar
from ropewright.web.gear.labels import SIZES, labels_pdf
from ropewright.web.gear.models import Item
from ropewright.web.interface.models import Token
from tests.web.gear.things import ready_item

Team = dict[Role, Account]


def _feed(secret: str) -> str:
    return f"/gear/calendar/{secret}/due.ics"


def test_the_feed_has_an_entry_for_each_day_on_which_something_is_due(team: Team) -> None:
    today = timezone.localdate()
    for mark, days in (("C-1", 5), ("C-2", 5), ("C-3", -3)):
        ready_item(mark, next_due=today + timedelta(days=days))
    ready_item("C-4", state=Item.State.RETIRED)
    answer = Client().get(_feed(calendar.new_secret(team[Role.CUSTODIAN], "phone")))
    assert answer.headers["Content-Type"].startswith("text/calendar")
    found = icalendar.Calendar.from_ical(answer.content)
    entries = [
        (entry.decoded("dtstart"), str(entry["summary"]), str(entry["description"]))
        for entry in found.walk("VEVENT")
    ]
    assert entries == [
        (today - timedelta(days=3), "Inspect 1 item of gear", "Due: C-3"),
        (today + timedelta(days=5), "Inspect 2 items of gear", "Due: C-1, C-2"),
    ]


def test_a_secret_works_until_it_is_revoked_and_only_its_owner_revokes_it(
    team: Team, browser_of: Callable[[Role], Client]
) -> None:
    secret = calendar.new_secret(team[Role.CUSTODIAN], "phone")
    token = Token.objects.get()
    assert secret not in (token.secret, token.name)
    assert browser_of(Role.LEAD).post(f"/gear/calendar/{token.pk}/revoke/").status_code == 404
    assert Client().get(_feed(secret)).status_code == 200
    assert browser_of(Role.CUSTODIAN).post(f"/gear/calendar/{token.pk}/revoke/").status_code == 302
    assert Client().get(_feed(secret)).status_code == 404


def test_an_account_that_is_shut_or_a_token_that_ran_out_opens_nothing(team: Team) -> None:
    account = team[Role.CUSTODIAN]
    secret, old = calendar.new_secret(account, "phone"), calendar.new_secret(account, "old")
    Token.objects.filter(name__endswith="old").update(expires=timezone.now() - timedelta(days=1))
    assert Client().get(_feed(old)).status_code == 404
    account.is_active = False
    account.save()
    assert Client().get(_feed(secret)).status_code == 404


def test_the_secret_of_another_token_opens_no_calendar(team: Team) -> None:
    from ropewright.web.accounts.models import fingerprint

    Token.objects.create(account=team[Role.LEAD], name="script", secret=fingerprint("a-secret-of-a-script"))
    assert Client().get(_feed("a-secret-of-a-script")).status_code == 404


def test_a_new_address_is_shown_once(browser_of: Callable[[Role], Client]) -> None:
    browser = browser_of(Role.CUSTODIAN)
    page = browser.post("/gear/calendar/", {"name": "phone"})
    address = page.content.decode().split('<code class="secret">')[1].split("</code>")[0]
    assert page.headers["Cache-Control"] == "no-store"
    assert Client().get(address.removeprefix("http://testserver")).status_code == 200
    assert address not in browser.get("/gear/calendar/").content.decode()


def test_no_secret_is_written_to_the_log(team: Team, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG):
        Client().get(_feed("a-secret-that-somebody-mistyped"))
    assert "/gear/calendar/–" in caplog.text
    assert "mistyped" not in caplog.text


@pytest.mark.parametrize("size", SIZES)
def test_labels_are_pages_of_pdf(size: str, team: Team, browser_of: Callable[[Role], Client]) -> None:
    keys = "&".join(f"item={ready_item(f'C-{n}').pk}" for n in range(30))
    answer = browser_of(Role.CUSTODIAN).get(f"/gear/labels/labels.pdf?{keys}&size={size}&paper=a4")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_a_labels_sign_leads_to_the_items_page_on_the_host_that_was_asked(team: Team) -> None:
    asked: list[Item] = []
    item = ready_item("C-1")

    def address(of: Item) -> str:
        asked.append(of)
        return f"https://gear.example.org/gear/{of.pk}/"

    first = labels_pdf([item], address, "Tern Harbor", SIZES["small"], "a4")
    other = labels_pdf(
        [item], lambda of: f"https://other.example.org/gear/{of.pk}/", "T", SIZES["small"], "a4"
    )
    assert asked == [item]
    assert first != other


@pytest.mark.parametrize("mark", ["#set page(width: 1cm)", "*x* $y$ \\ `z`", "M" * 40, "é ü 漢字"])
def test_hostile_and_long_marks_are_only_text_on_a_label(mark: str) -> None:
    item = Item(pk=1, mark=mark, type="sling", name=mark)
    for size in SIZES.values():
        assert labels_pdf([item], lambda _: "http://x/gear/1/", mark, size, "us-letter").startswith(b"%PDF")


def test_labels_of_nothing_say_what_to_do(browser_of: Callable[[Role], Client]) -> None:
    answer = browser_of(Role.CUSTODIAN).get("/gear/labels/labels.pdf")
    assert answer.status_code == 422
    assert "Nothing was chosen" in answer.content.decode()


def test_a_page_under_this_machines_own_address_warns_that_no_phone_follows(
    browser_of: Callable[[Role], Client],
) -> None:
    item = ready_item("C-1")
    browser = browser_of(Role.CUSTODIAN)
    here = browser.get(f"/gear/labels/?item={item.pk}", headers={"host": "127.0.0.1:8000"}).content.decode()
    assert "No phone can follow these signs" in here
    assert "No phone" not in browser.get(f"/gear/labels/?item={item.pk}").content.decode()
