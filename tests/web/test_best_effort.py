"""A store that can't be written just now can still be read: pages leave out what they can do without."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing

import pytest
from django.db import OperationalError, connection
from django.test import Client

from ropewright.web import best_effort as module
from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.best_effort import best_effort
from ropewright.web.gear.models import Item
from ropewright.web.interface.models import Token
from ropewright.web.interface.tokens import make_token
from ropewright.web.people.models import Person
from ropewright.web.workings.models import Working
from tests.web.procedures.things import make_procedure

pytestmark = pytest.mark.django_db(transaction=True)
Lock = Callable[[], None]


@pytest.fixture(autouse=True)
def _as_at_a_start(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_not_before", 0.0)


@pytest.fixture
def lead(transactional_db: None) -> Account:
    person = Person.objects.create(name="Lead Person", mass=80.0)
    return Account.objects.create_user("lead", password="a rope", role=Role.LEAD, person=person)


@pytest.fixture
def lock(lead: Account) -> Iterator[Lock]:
    """Take the lock of the store, as a long write of somebody else does; until the test ends."""
    if connection.vendor != "sqlite":
        pytest.skip("one lock for the whole store is SQLite's")
    with closing(sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)) as other:
        yield lambda: other.execute("BEGIN IMMEDIATE").close()
        if other.in_transaction:
            other.execute("ROLLBACK")


def _busy_timeout() -> int:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout")
        (found,) = cursor.fetchone()
    return int(found)


def test_a_write_that_can_be_left_out_is_soon_and_a_save_still_waits_long(lock: Lock) -> None:
    whole = _busy_timeout()
    lock()
    began = time.monotonic()
    for _ in range(50):
        assert best_effort(lambda: Item.objects.create(mark="R-1", type="x")) is None
    assert time.monotonic() - began < 3.0
    assert _busy_timeout() == whole == 10_000


def test_what_is_no_fault_of_the_store_is_raised(lead: Account) -> None:
    with pytest.raises(ZeroDivisionError):
        best_effort(lambda: 1 / 0)
    assert best_effort(lambda: 7) == 7


def test_a_read_by_token_answers_while_the_store_is_locked(lead: Account, lock: Lock) -> None:
    headers = {"Authorization": f"Bearer {make_token(lead, 'list', None)}"}
    lock()
    assert Client().get("/interface/gear", headers=headers).status_code == 200
    assert Token.objects.get().used is None


def test_pages_that_keep_results_open_while_the_store_is_locked(lead: Account, lock: Lock) -> None:
    procedure = make_procedure("ascent-to-descent", lead)
    browser = Client()
    browser.force_login(lead)
    kept = Working.objects.count()
    lock()
    for path in ("/procedures/", f"/procedures/{procedure.slug}/", "/rigs/", f"/rigs/{procedure.rig_slug}/"):
        assert browser.get(path).status_code == 200, path
    assert Working.objects.count() == kept


def test_a_save_is_never_left_out(lock: Lock) -> None:
    lock()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout=50")
    with pytest.raises(OperationalError):
        Item.objects.create(mark="R-1", type="x")
