"""Links that work once: invitations and new passwords."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from threading import Barrier, Thread

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.invitations import NotOpen, invite, join, offer_reset, opened, withdraw
from ropewright.web.accounts.models import Account, Invitation
from ropewright.web.interface.tokens import account_of, make_token
from ropewright.web.people.models import Person

Browser = Callable[[Role | None], Client]
Team = dict[Role, Account]
GIVEN = {"username": "maren", "password1": "a rope of words", "password2": "a rope of words"}
NEW = {"new_password1": "another rope of words", "new_password2": "another rope of words"}


def at(secret: str, name: str = "join") -> str:
    return reverse(f"accounts:{name}", kwargs={"secret": secret})


def test_a_lead_makes_a_link_that_is_shown_once(browser_of: Browser) -> None:
    browser = browser_of(Role.LEAD)
    answer = browser.post(reverse("accounts:invite"), {"role": Role.STUDENT, "note": "for the June class"})
    assert answer.status_code == 200
    assert "no-store" in answer.headers["Cache-Control"]
    link = str(answer.context["address"])
    assert link in answer.text
    secret = link.rstrip("/").rsplit("/", 1)[1]
    stored = Invitation.objects.get()
    assert secret not in {stored.secret, stored.note}
    listed = browser.get(reverse("accounts:invitations")).text
    assert "for the June class" in listed
    assert secret not in listed


def test_whoever_has_the_link_makes_one_account_of_its_role(team: Team, client: Client) -> None:
    person = Person.objects.create(name="Maren Achterberg")
    _, secret = invite(team[Role.LEAD], Role.CUSTODIAN, person)
    assert "Make your account" in client.get(at(secret)).text
    assert client.post(at(secret), GIVEN).status_code == 302
    account = Account.objects.get(username="maren")
    assert (account.role, account.person) == (Role.CUSTODIAN, person)
    assert client.get(reverse("accounts:me")).status_code == 200
    answer = Client().post(at(secret), GIVEN | {"username": "another"})
    assert answer.status_code == 404
    assert "This link opens nothing" in answer.text


def test_a_name_that_differs_by_capitals_alone_is_refused(team: Team, client: Client) -> None:
    _, secret = invite(team[Role.LEAD], Role.STUDENT)
    answer = client.post(at(secret), GIVEN | {"username": "LEAD"})
    assert answer.status_code == 422
    assert "Somebody signs in as ‘LEAD’ already" in answer.text


@pytest.mark.parametrize("how", ["withdrawn", "expired", "changed", "reset"])
def test_a_link_that_is_not_open_opens_nothing(team: Team, client: Client, how: str) -> None:
    link, secret = invite(team[Role.LEAD], Role.STUDENT)
    if how == "withdrawn":
        withdraw(link)
    if how == "expired":
        Invitation.objects.update(made=timezone.now() - timedelta(days=14, seconds=1))
    if how == "changed":
        secret = secret[:-1]
    if how == "reset":
        _, secret = offer_reset(team[Role.LEAD], team[Role.STUDENT])
    assert client.post(at(secret), GIVEN).status_code == 404
    assert not Account.objects.filter(username="maren").exists()


def test_the_list_says_how_each_link_stands(team: Team) -> None:
    link, secret = invite(team[Role.LEAD], Role.STUDENT)
    assert link.state == "open"
    Invitation.objects.update(made=timezone.now() - timedelta(days=15))
    link.refresh_from_db()
    assert link.state == "expired"
    withdraw(link)
    link.refresh_from_db()
    assert link.state == "withdrawn"
    other, secret = invite(team[Role.LEAD], Role.STUDENT)
    join(secret, Account(username="maren"))
    other.refresh_from_db()
    assert other.state == "used"
    assert not withdraw(other)


def test_an_invitation_of_somebody_who_has_an_account_meanwhile_opens_nothing(team: Team) -> None:
    person = Person.objects.create(name="Maren Achterberg")
    _, secret = invite(team[Role.LEAD], Role.STUDENT, person)
    Account.objects.filter(username="auditor").update(person=person)
    with pytest.raises(NotOpen):
        opened(secret)


def test_somebody_who_is_signed_in_makes_no_second_account(team: Team, browser_of: Browser) -> None:
    _, secret = invite(team[Role.LEAD], Role.LEAD)
    answer = browser_of(Role.STUDENT).post(at(secret), GIVEN)
    assert answer.status_code == 409
    assert "You are signed in as Student Person" in answer.text


@pytest.mark.django_db(transaction=True)
def test_two_who_use_a_link_at_once_make_one_account(team: Team) -> None:
    _, secret = invite(team[Role.LEAD], Role.STUDENT)
    together, out = Barrier(2), list[str]()

    def use(name: str) -> None:
        try:
            together.wait(10)
            out.append(join(secret, Account(username=name)).username)
        except NotOpen:
            out.append("not open")
        finally:
            connection.close()

    threads = [Thread(target=use, args=(name,)) for name in ("maren", "julian")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert out.count("not open") == 1
    assert Account.objects.filter(username__in=["maren", "julian"]).count() == 1


def test_a_new_password_by_link_ends_every_session_and_works_once(team: Team, browser_of: Browser) -> None:
    student, lead = browser_of(Role.STUDENT), browser_of(Role.LEAD)
    url = reverse("accounts:reset", kwargs={"account": team[Role.STUDENT].pk})
    link = str(lead.post(url).context["address"]).removeprefix("http://testserver")
    fresh = Client()
    assert fresh.post(link, NEW | {"new_password2": "other"}).status_code == 422
    assert student.get(reverse("accounts:me")).status_code == 200
    secret = make_token(team[Role.STUDENT], "report", None)
    assert fresh.post(link, NEW).headers["Location"] == reverse("accounts:sign-in")
    assert account_of(secret) is None
    assert student.get(reverse("accounts:me")).status_code == 302
    assert fresh.post(link, NEW).status_code == 404
    signed = fresh.post(
        reverse("accounts:sign-in"), {"username": "student", "password": NEW["new_password1"]}
    )
    assert signed.status_code == 302


def test_a_second_reset_stops_the_first_one_and_a_shut_account_has_none(team: Team) -> None:
    student = team[Role.STUDENT]
    _, first = offer_reset(team[Role.LEAD], student)
    _, second = offer_reset(team[Role.LEAD], student)
    with pytest.raises(NotOpen):
        opened(first, reset=True)
    assert opened(second, reset=True).account == student
    Account.objects.filter(pk=student.pk).update(is_active=False)
    with pytest.raises(NotOpen):
        opened(second, reset=True)


def test_a_reset_is_open_for_two_days(team: Team) -> None:
    _, secret = offer_reset(team[Role.LEAD], team[Role.STUDENT])
    Invitation.objects.update(made=timezone.now() - timedelta(days=2, seconds=1))
    with pytest.raises(NotOpen):
        opened(secret, reset=True)
