"""A large rig is worked out beside the server: no request holds a thread for it, and every page waits."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from ropewright.errors import RopewrightError
from ropewright.rig import read_rig
from ropewright.web.access import Role
from ropewright.web.demo.rigs import example_texts
from ropewright.web.rigs.models import Rig, RigCard
from ropewright.web.workings import engine, size
from ropewright.web.workings.engine import catalogue
from ropewright.web.workings.models import Working
from ropewright.web.workings.size import size_of
from ropewright.web.workings.worker import run_waiting
from tests.web.conftest import Team, Watch
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
HAUL = dict(example_texts(".rig.yaml"))["haul-3-1"]
SIZE = size_of(read_rig(HAUL, catalogue()))
HTMX = {"HX-Request": "true"}


@pytest.fixture
def rig(team: Team, heavy: None) -> Rig:
    return make_rig("haul-3-1", team[Role.LEAD])


@pytest.fixture
def never(watch: Watch) -> list[str]:
    """What was worked out, by its words: nothing while a page is asked for."""
    return watch("ropewright.web.workings.engine.check_rig", engine.check_rig)


def test_parts_and_contacts_are_its_size() -> None:
    assert SIZE == 3 + 1 + 1 + 4 + 1 + 6


def test_a_rig_at_the_limit_is_worked_out_at_once_and_one_beyond_it_is_not(
    team: Team, browser_of: BrowserOf, monkeypatch: pytest.MonkeyPatch, anew: None
) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    url, browser = reverse("rigs:open", args=["haul-3-1"]), browser_of(Role.STUDENT)
    monkeypatch.setattr(size, "MOST_AT_ONCE", SIZE - 1)
    assert browser.get(url).status_code == 202
    monkeypatch.setattr(size, "MOST_AT_ONCE", SIZE)
    assert browser.get(url).status_code == 200


def test_its_page_waits_and_shows_it_once_the_worker_ran(
    rig: Rig, browser_of: BrowserOf, never: list[str]
) -> None:
    url, browser = reverse("rigs:open", args=[rig.slug]), browser_of(Role.LEAD)
    page = browser.get(url)
    row = Working.objects.get()
    assert (page.status_code, row.kind, row.state, never) == (202, "rig", "running", [])
    assert "no-store" in page["Cache-Control"]
    assert f'hx-get="{reverse("workings:working", args=[row.key])}"' in page.content.decode()
    assert reverse("rigs:edit", args=[rig.slug]) in page.content.decode()
    assert "within policy" not in page.content.decode()
    assert run_waiting("large")
    shown = browser.get(url)
    assert (shown.status_code, len(never)) == (200, 1)
    assert "within policy" in shown.content.decode()
    assert RigCard.objects.get().version == 1


def test_asking_twice_asks_for_it_once(rig: Rig, browser_of: BrowserOf) -> None:
    for _ in range(2):
        browser_of(Role.LEAD).get(reverse("rigs:open", args=[rig.slug]))
    assert run_waiting("large")
    assert not run_waiting("large")


def test_a_version_of_it_waits_too(rig: Rig, browser_of: BrowserOf) -> None:
    url, browser = reverse("rigs:version", args=[rig.slug, 1]), browser_of(Role.LEAD)
    page = browser.get(url)
    assert page.status_code == 202
    assert f"{reverse('rigs:edit', args=[rig.slug])}?from=1" in page.content.decode()
    run_waiting("large")
    assert browser.get(url).status_code == 200


def test_what_fails_is_told_with_a_way_to_try_again(
    rig: Rig, browser_of: BrowserOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_words: object) -> None:
        raise ZeroDivisionError("a fault of the program")

    url, browser = reverse("rigs:open", args=[rig.slug]), browser_of(Role.LEAD)
    browser.get(url)
    with monkeypatch.context() as patch:
        patch.setattr(engine, "check_rig", broken)
        run_waiting("large")
    page = browser.get(url)
    text, key = page.content.decode(), Working.objects.get().key
    assert page.status_code == 500
    assert "a fault of this program kept it from being worked out" in text
    assert "ZeroDivisionError" not in text
    assert "hx-get" not in text.split("<main")[1]
    back = re.search(r'name="back" value="([^"]+)"', text)
    assert back is not None
    assert back.group(1) == url
    again = browser.post(reverse("workings:retry", args=[key]), {"back": url})
    assert (again.status_code, again["Location"]) == (302, url)
    assert browser.get(url).status_code == 202
    run_waiting("large")
    assert browser.get(url).status_code == 200


def test_its_card_in_the_library_asks_again_and_then_shows_the_verdict(
    rig: Rig, browser_of: BrowserOf, never: list[str]
) -> None:
    url, browser = reverse("rigs:card", args=[rig.slug]), browser_of(Role.STUDENT)
    waits = browser.get(url, headers=HTMX)
    text = waits.content.decode()
    assert (waits.status_code, never) == (202, [])
    assert f'<li class="sheet rig-card" id="rig-{rig.slug}" hx-get="{url}" hx-trigger="load delay:4s"' in text
    assert "being worked out" in text
    run_waiting("large")
    shown = browser.get(url, headers=HTMX)
    assert shown.status_code == 200
    assert "within policy" in shown.content.decode()
    assert "hx-get" not in shown.content.decode()


def test_its_card_in_the_library_says_what_failed_and_asks_no_more(rig: Rig, browser_of: BrowserOf) -> None:
    url, browser = reverse("rigs:card", args=[rig.slug]), browser_of(Role.STUDENT)
    browser.get(url, headers=HTMX)
    Working.objects.update(state=Working.State.FAILED, words="it ended")
    text = browser.get(url, headers=HTMX).content.decode()
    assert "not worked out" in text
    assert "it ended" in text
    assert "hx-get" not in text


def test_the_library_has_it_worked_out_for_its_filters(rig: Rig, browser_of: BrowserOf) -> None:
    browser_of(Role.STUDENT).get(reverse("rigs:library"))
    assert run_waiting("long")
    assert RigCard.objects.get().verdict == "within"


def test_who_worked_it_out_first_ends_the_wait_of_everybody(rig: Rig, browser_of: BrowserOf) -> None:
    url, browser = reverse("rigs:open", args=[rig.slug]), browser_of(Role.STUDENT)
    browser.get(url)
    browser.get(reverse("rigs:library"))
    assert run_waiting("long")
    assert browser.get(url).status_code == 200
    assert not run_waiting("large")


@pytest.mark.parametrize(("ending", "begins"), [("svg", b"<svg"), ("png", b"\x89PNG")])
def test_its_picture_waits_and_comes_by_itself(
    rig: Rig, browser_of: BrowserOf, ending: str, begins: bytes
) -> None:
    url, browser = reverse("rigs:picture", args=[rig.slug, ending]), browser_of(Role.STUDENT)
    waits, row = browser.get(url), Working.objects.get()
    text = waits.content.decode()
    assert (waits.status_code, waits["Content-Type"]) == (202, "text/html; charset=utf-8")
    assert f"{reverse('workings:working', args=[row.key])}?then=file" in text
    assert "This page is not the file" in text
    run_waiting("large")
    there = browser.get(reverse("workings:working", args=[row.key]), {"then": "file"}, headers=HTMX)
    assert "HX-Refresh" not in there
    assert "worked out" in there.content.decode()
    assert browser.get(reverse("workings:working", args=[row.key]), headers=HTMX)["HX-Refresh"] == "true"
    file = browser.get(url)
    if ending == "png":
        assert file.status_code == 202
        assert run_waiting("large")
        file = browser.get(url)
    assert file.status_code == 200
    assert file.content.startswith(begins)


def test_its_printed_card_is_set_beside_the_server_for_each_paper(
    rig: Rig, browser_of: BrowserOf, watch: Watch
) -> None:
    made = watch("ropewright.web.rigs.papers.check_rig", engine.check_rig)
    url, browser = reverse("rigs:card-pdf", args=[rig.slug]), browser_of(Role.STUDENT)
    assert browser.get(url).status_code == 202
    assert browser.get(url, {"paper": "us-letter"}).status_code == 202
    assert not made
    assert run_waiting("large")
    assert run_waiting("large")
    a4, letter = browser.get(url), browser.get(url, {"paper": "us-letter"})
    assert a4.content.startswith(b"%PDF")
    assert letter.content.startswith(b"%PDF")
    assert a4.content != letter.content
    assert len(made) == 2
    kept = {row.data["pdf"] for row in Working.objects.filter(kind="rig-card")}
    assert {b64decode(pdf) for pdf in kept} == {a4.content, letter.content}


def test_a_printed_card_that_is_refused_says_so_and_is_not_waited_for(
    rig: Rig, browser_of: BrowserOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_words: object) -> None:
        raise RopewrightError("the press is out of ink")

    url, browser = reverse("rigs:card-pdf", args=[rig.slug]), browser_of(Role.STUDENT)
    browser.get(url)
    with monkeypatch.context() as patch:
        patch.setattr("ropewright.web.rigs.papers.print_card", refused)
        run_waiting("large")
    page = browser.get(url)
    assert page.status_code == 500
    assert "the press is out of ink" in page.content.decode()
    assert "Try again" in page.content.decode()


def test_rigs_side_by_side_wait_for_each_of_them(
    rig: Rig, team: Team, browser_of: BrowserOf, never: list[str]
) -> None:
    make_rig("haul-2-1", team[Role.LEAD])
    url = f"{reverse('rigs:compare')}?rig=haul-3-1&rig=haul-2-1"
    browser = browser_of(Role.STUDENT)
    for _ in range(2):
        waits = browser.get(url)
        assert waits.status_code == 202
        assert "Side by side" not in waits.content.decode()
        before = list(never)
        assert run_waiting("large")
        assert len(never) == len(before) + 1
    shown = browser.get(url)
    assert shown.status_code == 200
    assert "Side by side" in shown.content.decode()


def test_another_mass_in_a_comparison_is_waited_for_as_well(
    rig: Rig, team: Team, browser_of: BrowserOf
) -> None:
    url = f"{reverse('rigs:compare')}?rig=haul-3-1&mass=80+kg"
    browser = browser_of(Role.STUDENT)
    for _ in range(2):
        assert browser.get(url).status_code == 202
        assert run_waiting("large")
    assert browser.get(url).status_code == 200
    assert Working.objects.filter(kind="rig").count() == 2


def test_a_large_file_is_taken_in_at_once_and_its_page_waits(
    team: Team, heavy: None, browser_of: BrowserOf, never: list[str]
) -> None:
    browser = browser_of(Role.INSTRUCTOR)
    file = SimpleUploadedFile("large.rig.yaml", HAUL.encode())
    sent = browser.post(reverse("rigs:upload"), {"file": file})
    assert (sent.status_code, sent["Location"]) == (302, reverse("rigs:open", args=["large"]))
    assert Rig.objects.get(slug="large").current.text == HAUL
    assert browser.get(sent["Location"]).status_code == 202
    assert not never


@pytest.mark.parametrize("accept", ["application/json", "text/html"])
def test_a_large_text_is_saved_before_anything_is_waited_for(
    rig: Rig, browser_of: BrowserOf, never: list[str], accept: str
) -> None:
    browser, text = browser_of(Role.INSTRUCTOR), HAUL.replace("mass: 100", "mass: 90")
    sent = browser.post(
        reverse("rigs:save", args=[rig.slug]), {"text": text, "base": "1"}, headers={"Accept": accept}
    )
    assert sent.status_code in (200, 302)
    rig.refresh_from_db()
    assert (rig.latest, rig.current.text) == (2, text)
    taken = browser.post(reverse("rigs:take-up", args=[rig.slug, 1]), {"base": "2"})
    assert taken.status_code == 302
    rig.refresh_from_db()
    assert (rig.latest, rig.current.text, never) == (3, HAUL, [])


def test_its_editor_and_tables_open_at_once(rig: Rig, browser_of: BrowserOf, never: list[str]) -> None:
    browser = browser_of(Role.INSTRUCTOR)
    assert browser.get(reverse("rigs:edit", args=[rig.slug])).status_code == 200
    assert browser.post(reverse("rigs:tables"), {"text": HAUL}).status_code == 200
    assert browser.get(reverse("rigs:text", args=[rig.slug])).status_code == 200
    assert not never
    assert not Working.objects.exists()


def test_the_store_is_asked_as_little_as_before(
    rig: Rig, browser_of: BrowserOf, django_assert_max_num_queries: Any
) -> None:
    browser = browser_of(Role.STUDENT)
    browser.get(reverse("rigs:open", args=[rig.slug]))
    with django_assert_max_num_queries(9):
        browser.get(reverse("rigs:open", args=[rig.slug]))
    run_waiting("large")
    browser.get(reverse("rigs:open", args=[rig.slug]))
    with django_assert_max_num_queries(9):
        browser.get(reverse("rigs:open", args=[rig.slug]))
