"""What is sent while something is waited for: for a whole page, a part of one, a file, a sent form."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import transaction
from django.http import HttpRequest
from django.test import Client, RequestFactory
from django.urls import reverse
from django_htmx.middleware import HtmxDetails

from ropewright.rig import read_rig
from ropewright.web.access import Role
from ropewright.web.demo.rigs import example_texts
from ropewright.web.workings import worker
from ropewright.web.workings.answers import wait_answer
from ropewright.web.workings.engine import catalogue, summary_of
from ropewright.web.workings.models import Working
from ropewright.web.workings.results import digest, kept
from ropewright.web.workings.waiting import StillWorkingError, at_work, leave_to_worker
from ropewright.web.workings.worker import run_waiting
from tests.web.conftest import Team

BrowserOf = Callable[[Role | None], Client]
HAUL = dict(example_texts(".rig.yaml"))["haul-3-1"]
RULES = (0, "the shipped policy")
pytestmark = pytest.mark.django_db


@pytest.fixture
def waits(heavy: None) -> StillWorkingError:
    with pytest.raises(StillWorkingError) as raised:
        summary_of(HAUL)
    return raised.value


def asked(method: str, path: str, data: Any = None, **headers: str) -> HttpRequest:
    request = getattr(RequestFactory(), method)(path, data or {}, headers=headers)
    request.htmx = HtmxDetails(request)
    return request  # type: ignore[no-any-return]


def test_a_large_rig_is_left_to_the_worker_and_worked_out_there(waits: StillWorkingError) -> None:
    assert not Working.objects.exists()
    row = waits.ask()
    assert row.key == digest("rig", HAUL, *RULES)
    assert run_waiting("large")
    assert summary_of(HAUL)["within"]
    row.refresh_from_db()
    assert row.is_done


def test_within_the_worker_nothing_is_left_to_it(heavy: None) -> None:
    rig = read_rig(HAUL, catalogue())
    with at_work():
        leave_to_worker(rig, "rig", (), {})
    with pytest.raises(StillWorkingError, match="Haul 3:1 is worked out beside the server"):
        leave_to_worker(rig, "rig", (), {})


def test_a_text_with_faults_is_told_at_once(heavy: None) -> None:
    assert summary_of("rig: x\nropes: 5\n")["faults"]


def test_what_is_asked_for_in_a_transaction_that_is_undone_is_asked_for_all_the_same(heavy: None) -> None:
    try:
        with transaction.atomic():
            summary_of(HAUL)
    except StillWorkingError as error:
        wait_answer(asked("get", "/rigs/x/"), error)
    assert Working.objects.get().state == Working.State.RUNNING


def test_a_result_that_came_otherwise_ends_the_wait(waits: StillWorkingError) -> None:
    row = waits.ask()
    Working.objects.update(state=Working.State.FAILED, words="ended")
    assert kept("rig", waits.parts, lambda: {"within": True}) == {"within": True}
    row.refresh_from_db()
    assert (row.state, row.data, row.words, row.asked) == ("done", {"within": True}, "", {})


def test_a_result_that_is_there_is_not_written_over(waits: StillWorkingError) -> None:
    row = waits.ask()

    def late() -> dict[str, bool]:
        Working.objects.update(state=Working.State.DONE, data={"within": True})
        return {"within": False}

    kept("rig", waits.parts, late)
    row.refresh_from_db()
    assert row.data == {"within": True}


def test_a_part_of_a_page_asks_its_own_address_again_in_its_own_place(waits: StillWorkingError) -> None:
    headers = {"HX-Request": "true", "HX-Target": "figures"}
    answer = wait_answer(asked("get", "/rigs/x/what-if/figures/?k=2", **headers), waits)
    text = answer.content.decode()
    assert answer.status_code == 202
    assert "<html" not in text
    assert 'id="figures" hx-get="/rigs/x/what-if/figures/?k=2" hx-trigger="load delay:3s"' in text


def test_a_part_of_a_page_that_fails_is_told_in_its_place(waits: StillWorkingError) -> None:
    waits.ask()
    Working.objects.update(state=Working.State.FAILED, words="it ended")
    headers = {"HX-Request": "true", "HX-Current-URL": "http://testserver/rigs/x/?a=b"}
    answer = wait_answer(asked("get", "/rigs/x/crew/", **headers), waits)
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "it ended" in text
    assert 'name="back" value="/rigs/x/?a=b"' in text
    assert "hx-get" not in text


def test_a_form_that_was_sent_is_kept_whole_and_can_be_sent_again(waits: StillWorkingError) -> None:
    sent = {"csrfmiddlewaretoken": "old", "note": 'two "lines"\nof it', "item": ["1", "2"]}
    answer = wait_answer(asked("post", "/plans/1/give-out/", sent), waits)
    text = answer.content.decode()
    form = text.split('<form method="post" action="/plans/1/give-out/">')[1].split("</form>")[0]
    fields = re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form)
    assert [f for f in fields if f[0] != "csrfmiddlewaretoken"] == [
        ("note", "two &quot;lines&quot;\nof it"),
        ("item", "1"),
        ("item", "2"),
    ]
    assert "old" not in form
    assert "Nothing was changed yet." in text
    assert "?then=form" in text


def test_a_form_that_is_sent_again_tries_again_what_failed(waits: StillWorkingError) -> None:
    row = waits.ask()
    Working.objects.update(state=Working.State.FAILED, words="it ended")
    assert wait_answer(asked("post", "/plans/1/give-out/"), waits).status_code == 202
    row.refresh_from_db()
    assert row.state == Working.State.RUNNING


@pytest.mark.parametrize(
    ("then", "state", "said"),
    [
        ("", "done", None),
        ("", "failed", None),
        ("file", "done", "worked out"),
        ("file", "failed", None),
        ("form", "done", "worked out"),
        ("form", "failed", "Send it again to try once more."),
    ],
)
def test_what_a_page_that_waits_is_told_at_the_end(
    waits: StillWorkingError, browser_of: BrowserOf, then: str, state: str, said: str | None
) -> None:
    row = waits.ask()
    Working.objects.update(state=state, words="it ended" if state == "failed" else "")
    answer = browser_of(Role.STUDENT).get(reverse("workings:working", args=[row.key]), {"then": then})
    assert answer.get("HX-Refresh") == (None if said else "true")
    assert (said or "") in answer.content.decode()


def test_how_far_it_is_stands_on_the_page_that_waits(waits: StillWorkingError, browser_of: BrowserOf) -> None:
    row = waits.ask()
    Working.objects.update(done=1, whole=3, words="what is found")
    url = reverse("workings:working", args=[row.key])
    text = browser_of(Role.STUDENT).get(url, {"then": "file"}).content.decode()
    assert "what is found, 1 of 3" in text
    assert f'hx-get="{url}?then=file"' in text


def test_trying_again_leads_back_to_a_page_of_the_app_alone(
    waits: StillWorkingError, browser_of: BrowserOf, team: Team
) -> None:
    url = reverse("workings:retry", args=[waits.ask().key])
    browser = browser_of(Role.STUDENT)
    assert browser.post(url, {"back": "/rigs/"})["Location"] == "/rigs/"
    for elsewhere in ("https://elsewhere.example/", "//elsewhere.example", ""):
        assert browser.post(url, {"back": elsewhere})["Location"] == reverse("pages:today")


def test_how_far_it_is_is_told_while_it_is_worked_out(
    waits: StillWorkingError, monkeypatch: pytest.MonkeyPatch
) -> None:
    waits.ask()
    told: list[object] = []
    monkeypatch.setattr(worker, "_teller", lambda _row: lambda *words: told.append(words))
    assert run_waiting("large")
    assert [each[:2] for each in told if isinstance(each, tuple)] == [(0, 3), (1, 3), (2, 3)]
