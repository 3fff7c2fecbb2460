"""Keeping accounts: roles, shutting, who may not, and that the team always keeps a lead."""

from __future__ import annotations

import time
from collections.abc import Callable
from threading import Barrier, Thread

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts import keeping
from ropewright.web.accounts.keeping import NotChanged, set_active, set_person, set_role
from ropewright.web.accounts.models import Account
from ropewright.web.interface.tokens import account_of, make_token
from ropewright.web.people.models import Person

Browser = Callable[[Role | None], Client]
Team = dict[Role, Account]


@pytest.fixture
def second(team: Team) -> Account:
    return Account.objects.create_user("second", password="a rope of words", role=Role.LEAD)


def at(name: str, account: Account) -> str:
    return reverse(f"accounts:{name}", kwargs={"account": account.pk})


def test_a_lead_changes_a_role_and_the_history_says_so(team: Team, browser_of: Browser) -> None:
    browser, student = browser_of(Role.LEAD), team[Role.STUDENT]
    answer = browser.post(at("role", student), {"role": Role.INSTRUCTOR}, follow=True)
    assert "Student Person is instructor now." in answer.text
    student.refresh_from_db()
    assert student.role == Role.INSTRUCTOR
    assert "role: student → instructor" in answer.text
    assert "Lead Person: changed" in " ".join(answer.text.split())


def test_nobody_changes_their_own_role_or_shuts_themself(team: Team, second: Account) -> None:
    lead = team[Role.LEAD]
    with pytest.raises(NotChanged, match="Nobody changes their own role"):
        set_role(lead, lead, Role.STUDENT)
    with pytest.raises(NotChanged, match="Nobody shuts their own account"):
        set_active(lead, lead, False)


def test_the_only_lead_who_can_sign_in_stays_one(team: Team, second: Account) -> None:
    lead = team[Role.LEAD]
    set_active(lead, second, False)
    with pytest.raises(NotChanged, match="Lead Person is the only lead instructor who can sign in"):
        set_role(second, lead, Role.STUDENT)
    with pytest.raises(NotChanged, match="only lead instructor"):
        set_active(second, lead, False)
    lead.refresh_from_db()
    assert (lead.role, lead.is_active) == (Role.LEAD, True)


@pytest.mark.django_db(transaction=True)
def test_two_leads_who_shut_each_other_at_once_leave_one(
    team: Team, second: Account, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked = keeping._another_leads

    def look_and_dawdle(account: Account) -> None:
        looked(account)
        time.sleep(0.3)  # so that the other one comes between looking and saving

    monkeypatch.setattr(keeping, "_another_leads", look_and_dawdle)
    lead, together, out = team[Role.LEAD], Barrier(2), list[str]()

    def shut(by: Account, account: Account) -> None:
        try:
            together.wait(10)
            set_active(by, account, False)
            out.append("shut")
        except NotChanged:
            out.append("refused")
        finally:
            connection.close()

    threads = [Thread(target=shut, args=pair) for pair in ((lead, second), (second, lead))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(out) == ["refused", "shut"]
    assert Account.objects.filter(role=Role.LEAD, is_active=True).count() == 1


def test_a_shut_account_is_out_at_its_next_page_and_can_not_sign_in(team: Team, browser_of: Browser) -> None:
    student, lead = browser_of(Role.STUDENT), browser_of(Role.LEAD)
    assert student.get(reverse("pages:today")).status_code == 200
    secret = make_token(team[Role.STUDENT], "report", None)
    lead.post(at("active", team[Role.STUDENT]), {"active": "no"})
    assert student.get(reverse("pages:today")).status_code == 302
    sign_in = reverse("accounts:sign-in")
    given = {"username": "student", "password": "a rope of words"}
    assert Client().post(sign_in, given).status_code == 422
    lead.post(at("active", team[Role.STUDENT]), {"active": "yes"})
    assert student.get(reverse("pages:today")).status_code == 302  # the old session does not come back
    assert Client().post(sign_in, given).status_code == 302
    assert account_of(secret) is None  # nor does the token


def test_one_entry_of_the_roster_has_one_account(team: Team) -> None:
    person = Person.objects.get(name="Student Person")
    with pytest.raises(NotChanged, match="Student Person has an account already"):
        set_person(team[Role.AUDITOR], person)
    set_person(team[Role.STUDENT], None)
    set_person(team[Role.AUDITOR], person)
    assert Account.objects.get(person=person).username == "auditor"


def test_no_link_is_made_for_ones_own_password(team: Team, browser_of: Browser) -> None:
    answer = browser_of(Role.LEAD).post(at("reset", team[Role.LEAD]), follow=True)
    assert "Change your own password on your own page." in answer.text


def test_the_list_of_accounts_asks_the_store_little(
    team: Team, browser_of: Browser, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    for k in range(60):
        person = Person.objects.create(name=f"Member {k}")
        Account.objects.create(username=f"member-{k}", person=person)
    browser = browser_of(Role.LEAD)
    with django_assert_max_num_queries(9):  # type: ignore[attr-defined]
        assert browser.get(reverse("accounts:accounts")).status_code == 200
