"""Files that are too large are refused before anything of them is read or kept."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.documents.checks import DocumentError
from ropewright.web.gear.models import Document
from tests.web.documents.files import png
from tests.web.documents.things import make_document
from tests.web.gear.things import make_item

BrowserOf = Callable[[Role | None], Client]


class _Endless(BytesIO):
    """A body that counts how much of it was asked for at once."""

    def __init__(self) -> None:
        super().__init__()
        self.largest = 0
        self.given = 0

    def read(self, size: int | None = -1, /) -> bytes:
        self.largest = max(self.largest, size or 0)
        self.given += size or 0
        return b"\0" * (size or 0)


def test_a_request_that_says_it_is_too_large_gets_a_clear_page(browser_of: BrowserOf) -> None:
    item = make_item("TH-1")
    stream = _Endless()
    extra: Any = {"wsgi.input": stream, "CONTENT_LENGTH": "50000000"}
    answer = browser_of(Role.LEAD).post(
        f"/gear/{item.pk}/documents/add/", content_type="multipart/form-data; boundary=x", **extra
    )
    assert answer.status_code == 413
    page = answer.content.decode()
    assert "The file has 50.0 MB; 10 MB are the most." in page
    assert "Nothing was kept." in page
    assert stream.given <= 50_000_000
    assert stream.largest <= 65_536
    assert not Document.objects.exists()


def test_a_file_just_over_the_limit_is_refused_on_its_form(
    team: Any, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    class Small:
        upload_bytes = 50

    settings.ENVIRONMENT = Small()
    with pytest.raises(DocumentError, match="MB are the most"):
        make_document(make_item("TH-1"), team[Role.LEAD], png())


def test_a_body_that_breaks_off_is_borne(browser_of: BrowserOf) -> None:
    extra: Any = {"wsgi.input": BytesIO(b"short"), "CONTENT_LENGTH": "30000000"}
    kind = "multipart/form-data; boundary=x"
    answer = browser_of(Role.LEAD).post("/gear/table/in/", content_type=kind, **extra)
    assert answer.status_code == 413
