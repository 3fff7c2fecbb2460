"""Mass, pull, reach and limits: read by those who teach and by the person, and found nowhere else."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.interface.tokens import make_token
from ropewright.web.meanwhile import newest
from ropewright.web.people.forms import PersonForm
from ropewright.web.people.models import Person
from ropewright.web.people.privacy import PRIVATE, private_of
from tests.web.people.things import PRIVATE_TEXTS, make_person

Browser = Callable[[Role | None], Client]
Team = dict[Role, Account]
TEACH = (Role.LEAD, Role.INSTRUCTOR)
OTHERS = tuple(role for role in Role if role not in TEACH)
PAGES = ("roster", "running-out", "person", "history")


@pytest.fixture
def alma(team: Team) -> Person:
    person = make_person("Alma Vintner")
    person.mass = 84.4
    person.save()
    person.mass = 83.3
    person.save()
    return person


def page(browser: Client, name: str, person: Person) -> str:
    kwargs = {"person": person.pk} if name in ("person", "history") else {}
    return browser.get(reverse(f"people:{name}", kwargs=kwargs)).text


def found_in(text: str) -> list[str]:
    return [each for each in (*PRIVATE_TEXTS, "84.4") if each in text]


@pytest.mark.parametrize("role", OTHERS)
@pytest.mark.parametrize("name", PAGES)
def test_no_page_shows_them_to_anybody_else(alma: Person, browser_of: Browser, role: Role, name: str) -> None:
    assert found_in(page(browser_of(role), name, alma)) == []


@pytest.mark.parametrize("role", TEACH)
def test_those_who_teach_read_them(alma: Person, browser_of: Browser, role: Role) -> None:
    told = page(browser_of(role), "person", alma)
    for each in ("83.3 kg (184 lb)", "0.27 kN (61 lbf)", "0.77 m (2.5 ft)", "spare the left shoulder"):
        assert each in told
    assert "84.4 kg (186 lb) → 83.3 kg (184 lb)" in page(browser_of(role), "history", alma)


@pytest.mark.parametrize("role", OTHERS)
def test_the_person_reads_their_own_and_nobody_elses(
    alma: Person, team: Team, browser_of: Browser, role: Role
) -> None:
    team[role].person = alma
    team[role].save()
    assert "83.3 kg (184 lb)" in browser_of(role).get(reverse("accounts:me")).text
    other = make_person("Otis Pellerin")
    assert found_in(page(browser_of(role), "person", other)) == []


def test_a_student_sees_no_roster_and_nobody_else_on_their_own_page(
    alma: Person, browser_of: Browser
) -> None:
    student = browser_of(Role.STUDENT)
    for name in PAGES:
        assert "Alma Vintner" not in page(student, name, alma)
    assert "Alma Vintner" not in student.get(reverse("accounts:me")).text


@pytest.mark.parametrize("words", ["83.3", "shoulder", "0.77", "84"])
def test_nothing_private_is_searched(alma: Person, browser_of: Browser, words: str) -> None:
    answer = browser_of(Role.CUSTODIAN).get(reverse("people:roster"), {"q": words})
    assert "Alma Vintner" not in answer.text


def test_the_form_holds_no_private_field_for_whoever_may_not_read_it(alma: Person) -> None:
    assert not set(PRIVATE) & set(PersonForm(instance=alma, private=False).fields)
    assert set(PRIVATE) <= set(PersonForm(instance=alma, private=True).fields)


def test_a_save_without_private_fields_leaves_them_as_they_are(alma: Person) -> None:
    form = PersonForm({"name": "Alma Vintner", "mass": "99 kg"}, instance=alma, private=False)
    assert form.is_valid()
    form.save()
    alma.refresh_from_db()
    assert alma.mass == 83.3


def test_messages_after_a_change_name_no_private_figure(alma: Person, browser_of: Browser) -> None:
    url = reverse("people:change", kwargs={"person": alma.pk})
    sent = {"name": "Alma Vintner", "mass": "84.4 kg", "base": newest(alma)[0]}
    answer = browser_of(Role.LEAD).post(url, sent)
    assert answer.status_code == 302
    told = [str(message) for message in get_messages(answer.wsgi_request)]
    assert told == ["The entry of Alma Vintner is changed."]


@pytest.mark.parametrize("role", list(Role))
def test_what_the_rest_of_the_app_is_given(alma: Person, team: Team, role: Role) -> None:
    assert bool(private_of(alma, team[role])) == (role in TEACH)


@pytest.mark.parametrize("role", list(Role))
def test_a_program_with_a_token_reads_what_its_owner_may(alma: Person, team: Team, role: Role) -> None:
    bearer = {"Authorization": f"Bearer {make_token(team[role], 'a script', None)}"}
    answer = Client().get(reverse("interface:people"), headers=bearer)
    assert answer.status_code == (403 if role == Role.STUDENT else 200)
    assert bool(found_in(answer.text)) == (role in TEACH)


@pytest.mark.parametrize("role", list(Role))
def test_a_program_of_a_shut_account_reads_nothing(alma: Person, team: Team, role: Role) -> None:
    bearer = {"Authorization": f"Bearer {make_token(team[role], 'a script', None)}"}
    Account.objects.filter(pk=team[role].pk).update(is_active=False)
    assert Client().get(reverse("interface:people"), headers=bearer).status_code == 401
