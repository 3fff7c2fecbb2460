"""Whose turn it is: no account keeps the others waiting, however much it asks for and looks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.http import HttpRequest
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.workings import background
from ropewright.web.workings.asking import account, asked_by
from ropewright.web.workings.background import TASKS, Task, TooManyError, again, ask, before, look
from ropewright.web.workings.models import Working
from ropewright.web.workings.turns import Waiting, in_turn
from ropewright.web.workings.worker import run_waiting
from tests.web.conftest import Team

BrowserOf = Callable[[Role | None], Client]
NOW = datetime.fromisoformat("2026-03-14T10:00:00+00:00")


def named(asked: dict[str, int], tell: Callable[..., None]) -> dict[str, int]:
    return {"number": asked["number"]}


@pytest.fixture(autouse=True)
def _task(monkeypatch: pytest.MonkeyPatch) -> None:
    own = {"named": Task(f"{__name__}:named", "short")}
    monkeypatch.setattr(background, "TASKS", {**TASKS, **own})


def _asked(team: Team, role: Role, number: int) -> Working:
    request = HttpRequest()
    request.user = team[role]
    with asked_by(request):
        return ask("named", [number], {"number": number})


def _looked(team: Team, role: Role, row: Working) -> Working:
    request = HttpRequest()
    request.user = team[role]
    row.refresh_from_db()
    with asked_by(request):
        look(row)
    row.refresh_from_db()
    return row


def _waiting(key: str, who: int | None, made: int, looked: int | None = 1) -> Waiting:
    """Asked for ``made`` and looked at ``looked`` seconds ago."""
    seen = None if looked is None else NOW - timedelta(seconds=looked)
    return Waiting(key, who, seen, NOW - timedelta(seconds=made))


def test_accounts_take_turns_and_within_one_the_first_that_was_asked_for_comes_first() -> None:
    rows = [_waiting(f"a{n}", 1, 90 - n) for n in range(4)] + [_waiting("b0", 2, 5), _waiting("b1", 2, 4)]
    assert in_turn(rows, {}, NOW) == ["a0", "b0", "a1", "b1", "a2", "a3"]


def test_the_account_that_was_served_longest_ago_comes_first() -> None:
    rows = [_waiting("a", 1, 90), _waiting("b", 2, 5), _waiting("nobody", None, 70)]
    last = {1: NOW, 2: NOW - timedelta(hours=1), None: NOW - timedelta(minutes=5)}
    assert in_turn(rows, last, NOW) == ["b", "nobody", "a"]


def test_what_nobody_looks_at_any_more_comes_last() -> None:
    rows = [_waiting("left", 1, 90, looked=60), _waiting("listed", 3, 95, None), _waiting("open", 2, 5)]
    assert in_turn(rows, {2: NOW}, NOW) == ["open", "listed", "left"]


def test_eight_open_pages_of_one_keep_one_page_of_another_waiting_for_one_piece_alone(team: Team) -> None:
    many = [_asked(team, Role.LEAD, n) for n in range(8)]
    assert run_waiting("short")
    small = _asked(team, Role.STUDENT, 99)
    for row in many[1:]:
        _looked(team, Role.LEAD, row)
    assert before(small) == 0
    assert [before(row) for row in many[1:3]] == [1, 2]
    assert run_waiting("short")
    small.refresh_from_db()
    assert small.is_done


@pytest.mark.parametrize("role", [Role.LEAD, Role.STUDENT])
def test_what_is_looked_at_again_and_again_keeps_its_place(team: Team, role: Role) -> None:
    first, second = _asked(team, Role.LEAD, 1), _asked(team, Role.LEAD, 2)
    long_ago = timezone.now() - timedelta(seconds=9)
    Working.objects.update(looked=long_ago)
    made = second.made
    _looked(team, role, second)
    assert second.looked is not None
    assert second.looked > long_ago
    assert second.made == made
    assert (before(first), before(second)) == (0, 1)


def test_what_two_wait_for_comes_with_the_turn_of_whoever_was_served_longer_ago(team: Team) -> None:
    for number in range(3):
        _asked(team, Role.LEAD, number)
    assert run_waiting("short")
    shared = Working.objects.get(asked={"number": 2})
    assert before(shared) == 1
    assert _looked(team, Role.STUDENT, shared).who == team[Role.STUDENT]
    assert before(shared) == 0
    assert _looked(team, Role.LEAD, shared).who == team[Role.STUDENT]


def test_no_more_may_wait_for_one_account_than_a_limit(
    team: Team, monkeypatch: pytest.MonkeyPatch, browser_of: BrowserOf
) -> None:
    monkeypatch.setattr(background, "MOST_WAITING", 2)
    first = _asked(team, Role.STUDENT, 1)
    _asked(team, Role.STUDENT, 2)
    with pytest.raises(TooManyError, match="2 pieces of work wait for this account"):
        _asked(team, Role.STUDENT, 3)
    assert _asked(team, Role.STUDENT, 1).key == first.key
    _asked(team, Role.LEAD, 3)
    assert Working.objects.count() == 3
    Working.objects.filter(pk=first.pk).update(state=Working.State.FAILED)
    _asked(team, Role.STUDENT, 4)
    answer = browser_of(Role.STUDENT).post(f"/working/{first.key}/again/")
    assert answer.status_code == 429
    assert "no more may wait for one account" in answer.content.decode()
    first.refresh_from_db()
    assert first.has_failed
    again(first)  # nobody in particular
    assert first.state == Working.State.RUNNING


def test_who_asks_is_the_account_of_the_request(team: Team, heavy: None, browser_of: BrowserOf) -> None:
    row = Working.objects.create(key="f" * 64, kind="named", state=Working.State.RUNNING)
    text = browser_of(Role.STUDENT).get(f"/working/{row.key}/").content.decode()
    assert "being worked out" in text
    row.refresh_from_db()
    assert row.who == team[Role.STUDENT]
    assert account() is None


def test_who_waits_is_told_how_many_come_first(team: Team, browser_of: BrowserOf) -> None:
    early, late = _asked(team, Role.LEAD, 1), _asked(team, Role.STUDENT, 2)
    other_lane = ask("procedure-mistakes", [3], {"number": 3})
    assert [before(row) for row in (early, late, other_lane)] == [0, 1, 0]
    page = browser_of(Role.STUDENT).get(f"/working/{late.key}/").content.decode()
    assert "1 other first" in page
    Working.objects.filter(pk=early.pk).update(claim="somewhere:short:1")
    early.refresh_from_db()
    assert [before(row) for row in (early, late)] == [0, 1]
