"""Rigs as files: card, picture, text, taking in, putting away."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.rigs.models import Rig
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]
TEXT = dict(example_texts(".rig.yaml"))["haul-3-1"]


def _file(text: str | bytes, name: str = "haul-3-1.rig.yaml") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, text.encode() if isinstance(text, str) else text)


def _take_in(browser: Client, **data: Any) -> Any:
    return browser.post(reverse("rigs:upload"), data)


@pytest.mark.parametrize(
    ("address", "kind", "first"),
    [
        (("rigs:card-pdf",), "application/pdf", b"%PDF-"),
        (("rigs:picture", "png"), "image/png", b"\x89PNG"),
        (("rigs:picture", "svg"), "image/svg+xml", b"<svg"),
        (("rigs:text",), "text/yaml; charset=utf-8", TEXT.encode()[:20]),
    ],
)
def test_every_file_comes_down(
    address: tuple[str, ...], kind: str, first: bytes, team: Team, browser_of: BrowserOf
) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    answer = browser_of(Role.STUDENT).get(reverse(address[0], args=("haul-3-1", *address[1:])))
    assert answer["Content-Type"] == kind
    assert answer.content.startswith(first)
    assert answer["Content-Disposition"].startswith('attachment; filename="haul-3-1')


def test_no_picture_and_no_card_of_an_unusable_text(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD]).save_version("rig: x", team[Role.LEAD])
    browser = browser_of(Role.STUDENT)
    assert browser.get(reverse("rigs:picture", args=("haul-3-1", "svg"))).status_code == 404
    answer = browser.get(reverse("rigs:card-pdf", args=("haul-3-1",)), follow=True)
    assert "The card was not made" in answer.content.decode()


def test_a_file_becomes_a_rig_with_its_name_and_title(team: Team, browser_of: BrowserOf) -> None:
    answer = _take_in(browser_of(Role.INSTRUCTOR), file=_file(TEXT, "Deck haul.rig.yaml"))
    assert answer.status_code == 302
    rig = Rig.objects.get(slug="deck-haul")
    assert rig.title == "Haul 3:1"
    assert rig.current.text == TEXT
    assert rig.current.note == "taken in from Deck haul.rig.yaml"


def test_faults_are_told_with_their_lines_and_the_text_is_kept(team: Team, browser_of: BrowserOf) -> None:
    broken = TEXT.replace("is: cam-grab", "is: cam-grb")
    answer = _take_in(browser_of(Role.INSTRUCTOR), file=_file(broken))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "line 19, column" in page
    assert "Did you mean `cam-grab`?" in page
    assert "is: cam-grb, at" in page.split("<textarea")[1]
    assert not Rig.objects.exists()
    mended = _take_in(
        browser_of(Role.INSTRUCTOR), text=TEXT.replace("\n", "\r\n"), file_name="haul-3-1.rig.yaml"
    )
    assert mended.status_code == 302
    assert Rig.objects.get().current.text == TEXT


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        (b"rig: caf\xe9", "is no UTF-8; save the file as UTF-8"),
        (b"\x00\x01", "this is no text (it holds zero bytes)"),
        (b"# " + b"x" * 1_000_001, "The file is larger than 1,000 kB"),
        (b"", "the file is empty"),
    ],
)
def test_what_is_no_rig_file_is_refused_and_says_why(
    sent: bytes, told: str, team: Team, browser_of: BrowserOf
) -> None:
    answer = _take_in(browser_of(Role.INSTRUCTOR), file=_file(sent))
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not Rig.objects.exists()


def test_nothing_sent_is_asked_for(team: Team, browser_of: BrowserOf) -> None:
    answer = _take_in(browser_of(Role.INSTRUCTOR))
    assert answer.status_code == 422
    assert "Choose a .rig.yaml file, or paste its text." in answer.content.decode()


def test_a_name_that_is_taken_is_asked_about(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    answer = _take_in(browser_of(Role.INSTRUCTOR), file=_file(TEXT.replace("mass: 100", "mass: 120")))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "A rig is called haul-3-1 already" in page
    assert 'value="haul-3-1-2"' in page
    assert "mass: 120" in page.split("<textarea")[1]
    assert Rig.objects.get().latest == 1


def test_it_becomes_the_next_version_where_that_is_chosen(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    heavier = TEXT.replace("mass: 100", "mass: 120")
    chosen = {"text": heavier, "file_name": "haul-3-1.rig.yaml", "keep_as": "version", "base": "1"}
    browser = browser_of(Role.INSTRUCTOR)
    assert _take_in(browser, **chosen).status_code == 302
    rig.refresh_from_db()
    assert (rig.latest, rig.current.text) == (2, heavier)
    _take_in(browser, **chosen)
    rig.refresh_from_db()
    assert rig.versions.count() == 2, "the same text again makes no version"


def test_a_version_from_an_old_question_is_kept_beside(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    rig.save_version(TEXT.replace("mass: 100", "mass: 110"), team[Role.LEAD])
    heavier = TEXT.replace("mass: 100", "mass: 120")
    _take_in(
        browser_of(Role.INSTRUCTOR), text=heavier, file_name="haul-3-1.rig.yaml", keep_as="version", base="1"
    )
    rig.refresh_from_db()
    assert rig.latest == 2
    assert rig.versions.get(number=3).beside


def test_a_file_whose_name_holds_a_hidden_character_is_taken_in(team: Team, browser_of: BrowserOf) -> None:
    named = {"text": TEXT, "file_name": "haul\u202e.rig.yaml"}
    assert _take_in(browser_of(Role.INSTRUCTOR), **named).status_code == 302
    assert Rig.objects.get().current.note == "taken in from haul.rig.yaml"


def test_it_becomes_a_rig_of_its_own_where_that_is_chosen(team: Team, browser_of: BrowserOf) -> None:
    make_rig("haul-3-1", team[Role.LEAD])
    sent = {"text": TEXT, "file_name": "haul-3-1.rig.yaml", "keep_as": "new"}
    browser = browser_of(Role.INSTRUCTOR)
    taken = _take_in(browser, **sent, name="haul-3-1")
    assert taken.status_code == 422
    assert "A rig has that name too; choose another." in taken.content.decode()
    own = _take_in(browser, **sent, name="upload")
    assert "That can&#x27;t be a name; this could: upload-rig" in own.content.decode()
    assert _take_in(browser, **sent, name="second").status_code == 302
    assert set(Rig.objects.values_list("slug", flat=True)) == {"haul-3-1", "second"}


def test_a_rig_is_put_away_and_brought_back_with_all_its_versions(team: Team, browser_of: BrowserOf) -> None:
    rig = make_rig("haul-3-1", team[Role.LEAD])
    browser = browser_of(Role.INSTRUCTOR)
    browser.post(reverse("rigs:put-away", args=(rig.slug,)))
    assert Rig.objects.get(pk=rig.pk).put_away is not None
    page = browser.get(reverse("rigs:open", args=(rig.slug,))).content.decode()
    assert "This rig was put away" in page
    browser.post(reverse("rigs:bring-back", args=(rig.slug,)))
    assert Rig.objects.get(pk=rig.pk).put_away is None
    assert rig.versions.count() == 1
