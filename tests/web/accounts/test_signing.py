"""Signing in and out: too many wrong passwords, a changed password, everywhere at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from axes.helpers import get_client_ip_address
from django.conf import LazySettings
from django.test import Client, RequestFactory
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.accounts.throttle import address_of
from ropewright.web.interface.tokens import account_of, make_token
from ropewright.web.people.models import Person

Browser = Callable[[Role | None], Client]
Team = dict[Role, Account]
SIGN_IN, ME = reverse("accounts:sign-in"), reverse("accounts:me")
RIGHT = {"username": "student", "password": "a rope of words"}
WRONG = {"username": "student", "password": "a guess"}


def test_a_wrong_password_keeps_the_name_and_says_so(team: Team, client: Client) -> None:
    answer = client.post(SIGN_IN, WRONG)
    assert answer.status_code == 422
    assert 'value="student"' in answer.text
    assert "correct username and password" in answer.text


def test_ten_wrong_passwords_shut_the_name_out_with_a_clear_page(team: Team, client: Client) -> None:
    for _ in range(9):
        assert client.post(SIGN_IN, WRONG).status_code == 422
    answer = client.post(SIGN_IN, WRONG)
    assert answer.status_code == 429
    assert "Too many wrong passwords for this name from this address." in answer.text
    assert client.post(SIGN_IN, RIGHT).status_code == 429
    other = {"username": "auditor", "password": "a rope of words"}
    assert Client().post(SIGN_IN, other).status_code == 302


@pytest.mark.parametrize(
    ("behind", "forwarded", "address"),
    [
        (False, "203.0.113.9", "192.0.2.1"),
        (True, "203.0.113.9", "203.0.113.9"),
        (True, "198.51.100.7, 203.0.113.9", "203.0.113.9"),
        (True, "whatever", "192.0.2.1"),
        (True, "", "192.0.2.1"),
    ],
)
def test_behind_a_proxy_the_address_is_the_one_that_it_saw(
    settings: LazySettings, behind: bool, forwarded: str, address: str
) -> None:
    settings.ENVIRONMENT = replace(settings.ENVIRONMENT, behind_proxy=behind)
    request = RequestFactory().post(SIGN_IN, REMOTE_ADDR="192.0.2.1", HTTP_X_FORWARDED_FOR=forwarded)
    assert address_of(request) == address
    assert get_client_ip_address(request) == address


def test_signing_in_is_no_change_of_the_account(team: Team, client: Client) -> None:
    before = team[Role.STUDENT].history.count()
    assert client.post(SIGN_IN, RIGHT).status_code == 302
    assert team[Role.STUDENT].history.count() == before


def test_a_changed_password_ends_every_other_session(team: Team, browser_of: Browser) -> None:
    here, there = browser_of(Role.STUDENT), browser_of(Role.STUDENT)
    given = {
        "old_password": "a rope of words",
        "new_password1": "another rope of words",
        "new_password2": "another rope of words",
    }
    assert here.post(reverse("accounts:password"), given | {"old_password": "?"}).status_code == 422
    assert there.get(ME).status_code == 200
    assert here.post(reverse("accounts:password"), given).headers["Location"] == ME
    assert here.get(ME).status_code == 200
    assert there.get(ME).status_code == 302


@pytest.mark.parametrize("how", ["password", "leave-everywhere"])
def test_a_new_password_and_signing_out_everywhere_revoke_ones_tokens(
    team: Team, browser_of: Browser, how: str
) -> None:
    student = browser_of(Role.STUDENT)
    secret, other = make_token(team[Role.STUDENT], "report", None), make_token(team[Role.LEAD], "list", None)
    given = {"old_password": "a rope of words"} | dict.fromkeys(
        ("new_password1", "new_password2"), "another rope of words"
    )
    assert "revoke" in student.get(reverse("accounts:password")).content.decode()
    assert "also revoke all your tokens" in student.get(ME).content.decode()
    answer = student.post(reverse(f"accounts:{how}"), given, follow=True)
    assert "Your token is revoked." in answer.content.decode()
    assert account_of(secret) is None
    assert account_of(other) == team[Role.LEAD]


def test_signing_out_everywhere_ends_every_session(team: Team, browser_of: Browser) -> None:
    here, there = browser_of(Role.STUDENT), browser_of(Role.STUDENT)
    assert here.post(reverse("accounts:leave-everywhere")).headers["Location"] == SIGN_IN
    assert (here.get(ME).status_code, there.get(ME).status_code) == (302, 302)


@pytest.mark.parametrize("role", [role for role in Role if role != Role.AUDITOR])
def test_ones_own_page_shows_ones_own_private_figures(team: Team, browser_of: Browser, role: Role) -> None:
    Person.objects.filter(account=team[role]).update(mass=83.3, limits="spare the left shoulder")
    told = browser_of(role).get(ME).text
    assert "83.3 kg (184 lb)" in told
    assert "spare the left shoulder" in told


def test_an_account_that_is_nobodys_entry_says_so(team: Team, browser_of: Browser) -> None:
    assert "This account is nobody's entry on the roster." in browser_of(Role.AUDITOR).get(ME).text
