"""The people that every web test knows: one account for each role, each with the roster's own entry."""

from __future__ import annotations

import pickle
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.people.models import Person
from ropewright.web.policy.now import forget_rules
from ropewright.web.workings import results, size
from tests.homes import home_made_once, made_ready

Team = dict[Role, Account]


@pytest.fixture(autouse=True)
def _rules_are_read_anew() -> None:
    forget_rules()


_WORKED_OUT: dict[str, bytes] = {}


def _remembered(key: str, work: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    if key not in _WORKED_OUT:
        _WORKED_OUT[key] = pickle.dumps(work())
    found: dict[str, Any] = pickle.loads(_WORKED_OUT[key])
    return found


@pytest.fixture(autouse=True)
def _worked_out_once(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """What one test had worked out is as good for the next, whose store is empty: its key holds all that it
    follows from. Tests of when and where something is worked out ask for ``anew``.
    """
    if "anew" not in request.fixturenames:
        monkeypatch.setattr(results, "work_out", _remembered)


@pytest.fixture
def anew() -> None:
    """Everything is worked out by the test that asks for it."""


@pytest.fixture
def heavy(anew: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every rig is taken for one that is worked out beside the server alone."""
    monkeypatch.setattr(size, "MOST_AT_ONCE", 0)


@pytest.fixture
def ready_home(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Path:
    """A home folder with an empty store, as a server's start leaves it; the test's own."""
    return shutil.copytree(home_made_once(tmp_path_factory, "ready", made_ready), tmp_path / "home")


Watch = Callable[[str, Callable[..., Any]], list[str]]


@pytest.fixture
def watch(anew: None, monkeypatch: pytest.MonkeyPatch) -> Watch:
    """Watch a function that takes a rig, where it is called (`module.name`): the rigs that it was given."""

    def begin(where: str, before: Callable[..., Any]) -> list[str]:
        seen: list[str] = []

        def watched(rig: Any, *rest: Any) -> Any:
            seen.append(rig.rig)
            return before(rig, *rest)

        monkeypatch.setattr(where, watched)
        return seen

    return begin


@pytest.fixture
def team(db: None) -> Team:
    """One account for each role; all but the auditor stand on the roster."""
    made: Team = {}
    for role in Role:
        person = None
        if role != Role.AUDITOR:
            person = Person.objects.create(name=f"{role.value.capitalize()} Person", mass=80.0)
        made[role] = Account.objects.create_user(
            role.value, password="a rope of words", role=role, person=person
        )
    return made


@pytest.fixture
def browser_of(team: Team) -> Callable[[Role | None], Client]:
    """A client that is signed in as a role, or as nobody."""

    def client(role: Role | None) -> Client:
        made = Client()
        if role is not None:
            made.force_login(team[role])
        return made

    return client
