"""Beginning a procedure on a rig, and taking one in from a file."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.procedures.models import Procedure
from tests.web.procedures.conftest import REFUSED
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]


def test_a_procedure_begins_on_a_rig_and_is_opened_to_be_written(
    browser_of: BrowserOf, team: dict[Role, Account], work: Callable[[], None]
) -> None:
    make_rig("lane-on-clamps", team[Role.LEAD])
    browser = browser_of(Role.INSTRUCTOR)
    assert (
        'value="lane-on-clamps" selected'
        in browser.get("/procedures/new/?rig=lane-on-clamps").content.decode()
    )
    sent = browser.post("/procedures/new/", {"title": "New", "rig": "lane-on-clamps"})
    assert sent["Location"] == "/procedures/new-procedure/edit/"
    made = Procedure.objects.get()
    assert (made.title, made.rig_slug) == ("New", "lane-on-clamps")
    browser.get("/procedures/new-procedure/")
    work()
    assert "no step refused" in browser.get("/procedures/new-procedure/").content.decode()


def test_a_second_of_the_same_title_gets_a_name_of_its_own(
    browser_of: BrowserOf, team: dict[Role, Account]
) -> None:
    make_rig("lane-on-clamps", team[Role.LEAD])
    for _ in range(2):
        browser_of(Role.LEAD).post("/procedures/new/", {"title": "Pass", "rig": "lane-on-clamps"})
    assert set(Procedure.objects.values_list("slug", flat=True)) == {"pass", "pass-2"}


def test_a_file_is_taken_in_under_its_title(browser_of: BrowserOf, team: dict[Role, Account]) -> None:
    make_rig("lane-on-clamps", team[Role.LEAD])
    file = SimpleUploadedFile("mine.procedure.yaml", REFUSED.encode())
    sent = browser_of(Role.LEAD).post("/procedures/upload/", {"file": file})
    assert sent["Location"] == "/procedures/too-early-off-the-clamp/"
    version = Procedure.objects.get().current
    assert (version.text, version.note) == (REFUSED, "taken in from mine.procedure.yaml")


def test_a_file_may_be_the_next_version_and_a_text_with_faults_is_a_draft(
    browser_of: BrowserOf, refused: Procedure
) -> None:
    text = REFUSED.replace("take upper off", "call go")
    sent = browser_of(Role.LEAD).post("/procedures/upload/", {"pasted": text, "into": "too-early"})
    assert sent["Location"] == "/procedures/too-early/"
    refused.refresh_from_db()
    assert refused.latest == 2
    sent = browser_of(Role.LEAD).post(
        "/procedures/upload/", {"pasted": text + "  - x\n", "into": "too-early"}
    )
    assert sent["Location"] == "/procedures/too-early/edit/?from=3"
    refused.refresh_from_db()
    assert refused.latest == 2


@pytest.mark.parametrize(
    ("sent", "why"),
    [
        (b"hello there", "line 1, column 1: found `hello there`; a procedure file is a list of keys such as"),
        (b"- a\n- b\n", "line 1, column 1: found a list; a procedure file is a list of keys such as"),
        (b"procedure: Up\nsteps: [", "Nothing was kept: line "),
        (b"PK\x03\x04junk", "U+0003"),
        (b"rig: Lane\npoints: {}\n", "this is a rig file; a procedure file names one under `from:`"),
        (b"name: build\njobs: {}\n", "this is another file. A procedure file starts with `procedure:`"),
    ],
)
@pytest.mark.parametrize("into", ["", "too-early"])
def test_what_is_no_procedure_file_is_refused_and_said(
    browser_of: BrowserOf, refused: Procedure, sent: bytes, why: str, into: str
) -> None:
    file = SimpleUploadedFile("junk.procedure.yaml", sent)
    answer = browser_of(Role.LEAD).post("/procedures/upload/", {"file": file, "into": into})
    assert answer.status_code == 422
    assert why in unescape(answer.content.decode())
    assert (Procedure.objects.count(), refused.versions.count()) == (1, 1)


def test_a_file_that_is_refused_stands_in_the_form_to_be_mended(browser_of: BrowserOf) -> None:
    file = SimpleUploadedFile("mine.procedure.yaml", b"procedure: Up\nsteps: [")
    answer = browser_of(Role.LEAD).post("/procedures/upload/", {"file": file})
    assert "procedure: Up\nsteps: [</textarea>" in answer.content.decode()


def test_what_is_no_text_is_refused_and_said(browser_of: BrowserOf) -> None:
    browser = browser_of(Role.LEAD)
    file = SimpleUploadedFile("picture.png", b"\x89PNG\0")
    answer = browser.post("/procedures/upload/", {"file": file})
    assert answer.status_code == 422
    assert "this is no text (it holds zero bytes)" in answer.content.decode()
    assert "Choose a .procedure.yaml file" in browser.post("/procedures/upload/", {}).content.decode()
    assert not Procedure.objects.exists()
