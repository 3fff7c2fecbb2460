"""Adding, opening and withdrawing documents through the pages."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.documents.checks import DocumentError
from ropewright.web.gear.inspections import record
from ropewright.web.gear.models import Document
from ropewright.web.people.models import Person
from tests.web.documents.files import jpeg, pdf, png
from tests.web.documents.things import make_document
from tests.web.gear.things import good_look, make_item

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]


def add(client: Client, url: str, content: bytes, name: str, kind: str = "", **more: str) -> Any:
    file = SimpleUploadedFile(name, content, content_type=kind or "application/octet-stream")
    return client.post(url, {"file": file, **more})


def _statuses(browser_of: BrowserOf, url: str) -> dict[Role, int]:
    answers = {role: browser_of(role).get(url) for role in Role}
    for answer in answers.values():
        list(answer)
    return {role: answer.status_code for role, answer in answers.items()}


def body(response: Any) -> bytes:
    return b"".join(response.streaming_content)


def test_a_photograph_is_kept_under_a_random_name_and_listed(browser_of: BrowserOf) -> None:
    item = make_item("TH-1")
    client = browser_of(Role.INSTRUCTOR)
    answer = add(
        client, f"/gear/{item.pk}/documents/add/", jpeg(), "../Sheath\u202e.JPG", title="worn sheath"
    )
    assert answer.status_code == 302
    document = Document.objects.get()
    assert (document.title, document.name, document.kind) == ("worn sheath", "Sheath.jpg", "image/jpeg")
    stored = Path(document.file.path)
    assert stored.is_relative_to(settings.MEDIA_ROOT)
    assert not stored.is_relative_to(settings.STATIC_ROOT)
    assert len(stored.name) == 32
    assert stored.stat().st_mode & 0o077 == 0
    page = client.get(f"/gear/{item.pk}/").content.decode()
    assert "worn sheath" in page
    assert f'src="/gear/documents/{document.pk}/"' in page


def test_a_document_whose_file_is_gone_says_so(browser_of: BrowserOf) -> None:
    item = make_item("TH-1")
    client = browser_of(Role.INSTRUCTOR)
    add(client, f"/gear/{item.pk}/documents/add/", jpeg(), "sheath.jpg")
    document = Document.objects.get()
    Path(document.file.path).unlink()
    answer = client.get(f"/gear/documents/{document.pk}/")
    assert answer.status_code == 410
    assert "“sheath.jpg” is on record, but its file is not in the store" in answer.text


@pytest.mark.parametrize(
    ("content", "name", "kind", "disposition"),
    [
        (jpeg(), "a.jpg", "image/jpeg", 'inline; filename="a.jpg"'),
        (png(), "b.png", "image/png", 'inline; filename="b.png"'),
        (pdf(), "c.pdf", "application/pdf", 'attachment; filename="c.pdf"'),
        (b"words", "d.txt", "text/plain", 'attachment; filename="d.txt"'),
        (pdf(), "Prüfung.pdf", "application/pdf", "attachment; filename*=utf-8''Pr%C3%BCfung.pdf"),
    ],
)
def test_a_document_is_given_out_so_that_nothing_in_it_acts(
    team: Team, browser_of: BrowserOf, content: bytes, name: str, kind: str, disposition: str
) -> None:
    document = make_document(make_item("TH-1"), team[Role.LEAD], content, name, kind)
    answer = browser_of(Role.STUDENT).get(f"/gear/documents/{document.pk}/")
    assert body(answer) == content
    assert answer["Content-Type"].split(";")[0] == kind
    assert answer["Content-Disposition"] == disposition
    assert answer["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "private, no-cache"


def test_a_picture_that_is_known_already_is_not_sent_again(team: Team, browser_of: BrowserOf) -> None:
    document = make_document(make_item("TH-1"), team[Role.LEAD])
    client = browser_of(Role.STUDENT)
    first = client.get(f"/gear/documents/{document.pk}/")
    body(first)
    again = client.get(f"/gear/documents/{document.pk}/", headers={"If-None-Match": first["ETag"]})
    assert again.status_code == 304


@pytest.mark.parametrize(
    ("content", "name", "kind", "told"),
    [
        (b"<svg onload=alert(1)>", "x.svg", "image/svg+xml", "web pages and SVG drawings"),
        (png(), "x.jpg", "image/jpeg", "a PNG picture, but its name ends in .jpg"),
        (b"", "x.png", "image/png", "The file is empty."),
    ],
)
def test_what_is_refused_is_said_on_the_form_and_nothing_is_kept(
    browser_of: BrowserOf, content: bytes, name: str, kind: str, told: str
) -> None:
    item = make_item("TH-1")
    answer = add(
        browser_of(Role.CUSTODIAN), f"/gear/{item.pk}/documents/add/", content, name, kind, title="kept words"
    )
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert 'value="kept words"' in answer.content.decode()
    assert not Document.objects.exists()


def test_the_same_file_is_kept_once(team: Team) -> None:
    item = make_item("TH-1")
    make_document(item, team[Role.LEAD])
    with pytest.raises(DocumentError, match="This very file is kept here already, as 'photo'"):
        make_document(item, team[Role.LEAD])


def test_a_file_without_its_record_is_removed_again(team: Team, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_args: object, **_kwargs: object) -> None:
        raise RuntimeError("the store broke")

    before = _stored()
    monkeypatch.setattr(Document.objects, "create", broken)
    with pytest.raises(RuntimeError):
        make_document(make_item("TH-1"), team[Role.LEAD])
    assert _stored() == before


def _stored() -> set[str]:
    root = Path(settings.MEDIA_ROOT)
    return {str(path) for path in root.rglob("*") if path.is_file()}


def test_a_document_of_an_inspection_stands_with_its_item_too(team: Team, browser_of: BrowserOf) -> None:
    item = make_item("TH-1")
    inspection = record(item.pk, good_look(item), team[Role.CUSTODIAN])
    client = browser_of(Role.CUSTODIAN)
    assert (
        add(
            client, f"/gear/inspections/{inspection.pk}/documents/add/", png(), "x.png", title="stitching"
        ).status_code
        == 302
    )
    for url in (f"/gear/inspections/{inspection.pk}/", f"/gear/{item.pk}/"):
        assert "stitching" in client.get(url).content.decode()


def test_withdrawing_keeps_it_with_who_when_and_why(team: Team, browser_of: BrowserOf) -> None:
    item = make_item("TH-1")
    document = make_document(item, team[Role.INSTRUCTOR])
    keeper = browser_of(Role.CUSTODIAN)
    refused = keeper.post(f"/gear/documents/{document.pk}/withdraw/", {"why": " "})
    assert refused.status_code == 422
    assert keeper.post(f"/gear/documents/{document.pk}/withdraw/", {"why": "wrong rope"}).status_code == 302
    document.refresh_from_db()
    assert document.withdrawn is not None
    assert (document.withdrawn_by, document.withdrawn_why) == (team[Role.CUSTODIAN], "wrong rope")
    assert default_storage.exists(str(document.file.name))
    assert "wrong rope" in browser_of(Role.STUDENT).get(f"/gear/{item.pk}/").content.decode()
    assert _statuses(browser_of, f"/gear/documents/{document.pk}/") == {
        Role.LEAD: 200, Role.CUSTODIAN: 200, Role.AUDITOR: 200, Role.INSTRUCTOR: 403, Role.STUDENT: 403,
    }  # fmt: skip
    assert keeper.get(f"/gear/documents/{document.pk}/withdraw/").status_code == 404


def test_a_persons_documents_are_read_by_few(team: Team, browser_of: BrowserOf) -> None:
    person = team[Role.STUDENT].person
    assert person is not None
    document = make_document(person, team[Role.LEAD], pdf(), "medical.pdf", "application/pdf")
    other = make_document(Person.objects.create(name="Somebody Else"), team[Role.LEAD])
    for url, wanted in (
        (f"/people/documents/{document.pk}/", {Role.LEAD, Role.INSTRUCTOR, Role.AUDITOR, Role.STUDENT}),
        (f"/people/documents/{other.pk}/", {Role.LEAD, Role.INSTRUCTOR, Role.AUDITOR}),
    ):
        statuses = _statuses(browser_of, url)
        assert {role for role, status in statuses.items() if status == 200} == wanted
        assert statuses[Role.CUSTODIAN] == 403
        answer = browser_of(Role.LEAD).get(url)
        assert answer["Cache-Control"] == "private, no-store"
        assert "ETag" not in answer
        list(answer)


def test_a_persons_document_is_no_document_of_gear_nor_the_reverse(team: Team, browser_of: BrowserOf) -> None:
    of_person = make_document(Person.objects.create(name="Somebody"), team[Role.LEAD])
    of_item = make_document(make_item("TH-1"), team[Role.LEAD])
    lead = browser_of(Role.LEAD)
    for url in (f"/gear/documents/{of_person.pk}/", f"/people/documents/{of_item.pk}/"):
        assert lead.get(url).status_code == 404
        assert lead.post(f"{url}withdraw/", {"why": "x"}).status_code == 404


def test_no_address_gives_the_folder_of_documents_out(team: Team, browser_of: BrowserOf) -> None:
    document = make_document(make_item("TH-1"), team[Role.LEAD])
    lead = browser_of(Role.LEAD)
    for start in ("/media/", "/documents/", "/static/", "/"):
        assert lead.get(start + str(document.file.name)).status_code == 404


def test_a_full_disk_keeps_neither_a_record_nor_part_of_a_file(
    browser_of: BrowserOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    item, root = make_item("TH-1"), Path(settings.MEDIA_ROOT)
    client = browser_of(Role.INSTRUCTOR)
    before = {path for path in root.rglob("*") if path.is_file()}

    def full(_content: ContentFile[bytes]) -> Iterator[bytes]:
        yield b"the first part"
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(ContentFile, "chunks", full)
        answer = add(client, f"/gear/{item.pk}/documents/add/", pdf(), "certificate.pdf")
    assert answer.status_code == 503
    assert not Document.objects.exists()
    assert {path for path in root.rglob("*") if path.is_file()} == before
