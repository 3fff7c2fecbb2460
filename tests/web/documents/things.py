"""Documents for tests."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from ropewright.web.accounts.models import Account
from ropewright.web.documents.keeping import About, keep
from ropewright.web.gear.models import Document, Item
from ropewright.web.people.models import Person
from tests.web.documents.files import png
from tests.web.things import Maker

__all__ = ["DOCUMENT_MAKERS", "make_document"]


def make_document(
    about: About,
    author: Account,
    content: bytes | None = None,
    name: str = "photo.png",
    kind: str = "image/png",
) -> Document:
    """A document about something: a picture, unless told otherwise."""
    sent = SimpleUploadedFile(name, png() if content is None else content, content_type=kind)
    return keep(sent, "", about, author)[0]


def _document(of: Any, author: Account) -> int:
    """One of an item with a mark, or `person:` and a name."""
    text = str(of)
    about: About
    if text.startswith("person:"):
        about = Person.objects.get_or_create(name=text.removeprefix("person:"))[0]
    else:
        about = Item.objects.get_or_create(mark=text, defaults={"type": "carabiner-locking"})[0]
    return make_document(about, author).pk


DOCUMENT_MAKERS: dict[str, Maker] = {"document": _document}
