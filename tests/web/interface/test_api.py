"""The interface for scripts: by token alone, by role, and as its own description says."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from jsonschema import Draft202012Validator

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear.models import Item
from ropewright.web.interface.models import Token
from ropewright.web.interface.tokens import make_token
from ropewright.web.people.models import Person
from ropewright.web.rigs.models import Rig
from ropewright.web.workings import background
from ropewright.web.workings.models import Working
from ropewright.web.workings.worker import run_waiting
from tests.web.conftest import Team
from tests.web.rigs.things import make_rig

PATHS = (
    "/interface/rigs",
    "/interface/rigs/haul-3-1",
    "/interface/gear",
    "/interface/gear/R-1",
    "/interface/people",
)


@pytest.fixture
def store(team: Team) -> Team:
    make_rig("haul-3-1", team[Role.LEAD])
    Item.objects.create(mark="R-1", type="rope-11-low-stretch", length=60.0)
    return team


def _get(path: str, account: Account | None, secret: str = "") -> Any:
    token = secret or (make_token(account, "test", None) if account else "")
    headers = {"Authorization": f"Bearer {token}"} if token else {}
    return Client().get(path, headers=headers)


@pytest.mark.parametrize("path", PATHS)
def test_nothing_is_read_without_a_token_or_by_a_session(store: Team, path: str) -> None:
    assert _get(path, None).status_code == 401
    assert _get(path, None, "rw_guessed").status_code == 401
    browser = Client()
    browser.force_login(store[Role.LEAD])
    assert browser.get(path).status_code == 401


@pytest.mark.parametrize("end", ["revoked", "expired", "shut out"])
def test_a_token_that_has_ended_opens_nothing(store: Team, end: str) -> None:
    secret = make_token(store[Role.LEAD], "test", 30)
    assert _get(PATHS[0], None, secret).status_code == 200
    before = timezone.now() - timedelta(days=1)
    if end == "shut out":
        Account.objects.filter(pk=store[Role.LEAD].pk).update(is_active=False)
    else:
        Token.objects.update(**{"revoked" if end == "revoked" else "expires": before})
    assert _get(PATHS[0], None, secret).status_code == 401


def test_a_secret_is_stored_nowhere(store: Team) -> None:
    secret = make_token(store[Role.LEAD], "test", None)
    assert secret not in str(list(Token.objects.values()))


def test_masses_go_to_those_who_may_see_them_and_to_their_own(store: Team) -> None:
    def masses(role: Role) -> set[float | None]:
        return {row["mass_kg"] for row in _get("/interface/people", store[role]).json()["items"]}

    assert masses(Role.LEAD) == {80.0}
    assert masses(Role.INSTRUCTOR) == {80.0}
    assert masses(Role.AUDITOR) == {None}
    rows = _get("/interface/people", store[Role.CUSTODIAN]).json()["items"]
    own = store[Role.CUSTODIAN].person_id
    assert {row["id"] for row in rows if row["mass_kg"] is not None} == {own}


def test_a_student_reads_only_their_own_entry(store: Team) -> None:
    student = store[Role.STUDENT]
    assert _get("/interface/people", student).status_code == 403
    assert _get(f"/interface/people/{student.person_id}", student).json()["mass_kg"] == 80.0
    other = Person.objects.exclude(account=student).first()
    assert other is not None
    refused = _get(f"/interface/people/{other.pk}", student)
    assert refused.status_code == 403
    assert refused.json() == {"detail": "this token's owner may not see people"}


def test_a_rig_comes_with_its_text_and_all_that_follows(store: Team) -> None:
    rig = _get("/interface/rigs/haul-3-1", store[Role.AUDITOR]).json()
    assert "\nrig: Haul 3:1\n" in rig["text"]
    assert rig["report"]["haul"]["counted"] == "3:1"
    assert rig["within_policy"] is True
    assert rig["own_rules"].startswith("pull of haulers 0.20 kN (45 lbf), the team counts on 0.13 kN")
    assert "hands-on check" in rig["caution"]


def test_a_rig_by_rules_of_its_own_says_which(store: Team) -> None:
    rig = Rig.objects.get(slug="haul-3-1")
    rig.save_version(rig.current.text + "\npolicy: {static-factor: 2}\n", store[Role.LEAD])
    told = _get("/interface/rigs/haul-3-1", store[Role.AUDITOR]).json()
    assert told["own_rules"].startswith("static-factor 2, the team asks 10 (looser); pull of haulers ")


def test_what_it_answers_is_what_it_describes(store: Team) -> None:
    described = Client().get("/interface/openapi.json").json()
    assert described["openapi"].startswith("3.1")
    for path in PATHS:
        pattern = path.replace("haul-3-1", "{name}").replace("R-1", "{mark}")
        schema = described["paths"][pattern]["get"]["responses"]["200"]["content"]["application/json"][
            "schema"
        ]
        whole = {"components": described["components"], **schema}
        Draft202012Validator(whole).validate(_get(path, store[Role.LEAD]).json())


def test_lists_come_in_pages(store: Team) -> None:
    Item.objects.bulk_create(Item(mark=f"C-{k:03d}", type="carabiner-locking") for k in range(150))
    page = _get("/interface/gear?limit=20&offset=140", store[Role.LEAD]).json()
    assert page["count"] == 151
    assert len(page["items"]) == 11


def test_one_makes_a_token_sees_it_once_and_revokes_it(store: Team) -> None:
    browser = Client()
    browser.force_login(store[Role.STUDENT])
    shown = browser.post("/interface/", {"name": "a script", "days": 30}).content.decode()
    secret = shown.split('id="secret">')[1].split("<")[0]
    assert _get(PATHS[0], None, secret).status_code == 200
    assert secret not in browser.get("/interface/").content.decode()
    token = Token.objects.get()
    other = Client()
    other.force_login(store[Role.LEAD])
    assert other.post(f"/interface/tokens/{token.pk}/revoke/").status_code == 404
    browser.post(f"/interface/tokens/{token.pk}/revoke/")
    assert _get(PATHS[0], None, secret).status_code == 401


def test_a_large_rig_is_to_be_asked_for_again(store: Team, heavy: None) -> None:
    waits = _get(PATHS[1], store[Role.LEAD])
    assert (waits.status_code, waits["Retry-After"]) == (503, "10")
    assert waits["Content-Type"].startswith("application/json")
    assert waits.json() == {"detail": "“Haul 3:1” is large and being worked out; ask again in 10 seconds"}
    assert _get(PATHS[0], store[Role.LEAD]).status_code == 200
    assert run_waiting("large")
    found = _get(PATHS[1], store[Role.LEAD])
    assert found.status_code == 200
    assert found.json()["within_policy"] is True


def test_a_large_rig_that_could_not_be_worked_out_is_tried_once_more_after_a_while(
    store: Team, heavy: None
) -> None:
    _get(PATHS[1], store[Role.LEAD])
    ended = timezone.now() - timedelta(minutes=10)
    Working.objects.update(state=Working.State.FAILED, words="it ended", beat=ended)
    found = _get(PATHS[1], store[Role.LEAD])
    assert found.status_code == 409
    assert 1100 < int(found["Retry-After"]) <= 1200
    assert found.json() == {
        "detail": "“Haul 3:1” could not be worked out: it ended; a request after a while tries once more"
    }
    Working.objects.update(beat=timezone.now() - timedelta(minutes=31))
    assert _get(PATHS[1], store[Role.LEAD]).status_code == 503
    assert Working.objects.get().state == Working.State.RUNNING


def test_a_script_for_which_too_much_waits_is_told_when_to_ask_again(
    store: Team, heavy: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(background, "MOST_WAITING", 0)
    found = _get(PATHS[1], store[Role.LEAD])
    assert (found.status_code, found["Retry-After"]) == (429, "30")
    assert found.json()["detail"].endswith("ask again once some of it is done")
    assert not Working.objects.exists()
