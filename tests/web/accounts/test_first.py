"""The first account of all: what it makes, that it is there once, and two who come at once."""

from __future__ import annotations

from threading import Barrier, Thread

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.first import TooLate, make_first
from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.shipped import shipped_rules

FIRST = reverse("accounts:first")
GIVEN = {
    "team": "Tern Harbor rescue team",
    "zone": "America/Halifax",
    "units": "us",
    "own_name": "Ines Calloway",
    "username": "ines",
    "password1": "a rope of words",
    "password2": "a rope of words",
}


@pytest.mark.django_db
def test_whoever_signs_in_first_is_sent_to_make_the_first_account(client: Client) -> None:
    assert client.get(reverse("accounts:sign-in")).headers["Location"] == FIRST


@pytest.mark.django_db
def test_the_first_account_leads_stands_on_the_roster_and_has_version_1_of_the_rules(client: Client) -> None:
    assert client.post(FIRST, GIVEN).headers["Location"] == reverse("pages:today")
    account = Account.objects.get()
    assert (account.role, str(account), account.is_superuser) == (Role.LEAD, "Ines Calloway", False)
    version = PolicyVersion.objects.get()
    assert (version.number, version.team, version.zone, version.units) == (
        1,
        "Tern Harbor rescue team",
        "America/Halifax",
        "us",
    )
    assert version.rules == shipped_rules()
    assert version.author == account
    assert client.get(reverse("accounts:me")).status_code == 200


@pytest.mark.django_db
def test_the_page_is_gone_once_there_is_an_account(client: Client) -> None:
    client.post(FIRST, GIVEN)
    assert Client().get(FIRST).status_code == 404
    assert Client().post(FIRST, GIVEN | {"username": "second"}).status_code == 404
    assert Account.objects.count() == 1


@pytest.mark.django_db
def test_what_a_password_must_be_stands_there_before_it_is_typed(client: Client) -> None:
    assert "Your password must contain at least 10 characters." in client.get(FIRST).text


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"password1": "short", "password2": "short"}, "This password is too short."),
        ({"password2": "another rope"}, "The two password fields didn’t match."),
        ({"zone": "Mars/Olympus"}, "Select a valid choice."),
        ({"team": "  "}, "This field is required."),
        ({"own_name": "Ines\u202e"}, "Found the hidden character U+202E"),
    ],
)
def test_what_is_wrong_is_told_and_what_was_typed_stays(
    client: Client, changed: dict[str, str], told: str
) -> None:
    answer = client.post(FIRST, GIVEN | changed)
    assert answer.status_code == 422
    assert told in answer.text
    assert 'value="ines"' in answer.text
    assert not Account.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_of_two_who_come_at_once_one_is_too_late() -> None:
    together, out = Barrier(2), list[str]()

    def make(name: str) -> None:
        try:
            account = Account(username=name)
            account.set_password("a rope of words")
            together.wait(10)
            make_first(account, name, "Tern Harbor rescue team", "UTC", "metric")
            out.append("made")
        except TooLate:
            out.append("too late")
        finally:
            connection.close()

    threads = [Thread(target=make, args=(name,)) for name in ("ines", "bram")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(out) == ["made", "too late"]
    assert (Account.objects.count(), Person.objects.count(), PolicyVersion.objects.count()) == (1, 1, 1)
