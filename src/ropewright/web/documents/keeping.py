"""Keeping documents: written under a random name before the record that points to them, never overwritten."""

from __future__ import annotations

import hashlib
import secrets
from pathlib import PurePosixPath
from typing import Any, Literal

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from ropewright.web.accounts.models import Account
from ropewright.web.documents.checks import DocumentError, check_document
from ropewright.web.documents.limit import too_large
from ropewright.web.gear.models import Document, Inspection, Item
from ropewright.web.people.models import Person

__all__ = ["About", "documents_of", "keep", "kind_of_thing", "withdraw"]

About = Item | Inspection | Person


def kind_of_thing(about: About) -> Literal["item", "inspection", "person"]:
    """What a document is about, as its record names it."""
    if isinstance(about, Item):
        return "item"
    return "inspection" if isinstance(about, Inspection) else "person"


def documents_of(about: About) -> QuerySet[Document]:
    """Everything that is kept about one thing, what was withdrawn too; the newest first.

    An item has those of its inspections, too.
    """
    kept = Document.objects.select_related("added_by__person", "withdrawn_by__person", "inspection", "person")
    if isinstance(about, Item):
        return kept.filter(Q(item=about) | Q(inspection__item=about))
    return kept.filter(**{kind_of_thing(about): about})


def keep(sent: UploadedFile[Any], title: str, about: About, account: Account) -> tuple[Document, str]:
    """Keep a file that was sent; return its record, and what to tell of it. Errors: DocumentError.

    The file is written first: a record without its file can't be, and a file without a record is removed.
    """
    if too_large(sent.size or 0):
        raise DocumentError(too_large(sent.size or 0))
    checked = check_document(sent.read(), sent.name or "", sent.content_type or "")
    digest = hashlib.sha256(checked.content).hexdigest()
    twin = documents_of(about).filter(digest=digest, withdrawn=None).first()
    if twin:
        raise DocumentError(f"This very file is kept here already, as '{twin.title}'.")
    place = _written(checked.content)
    try:
        with transaction.atomic():
            document = Document.objects.create(
                **{kind_of_thing(about): about},
                title=title or PurePosixPath(checked.name).stem,
                name=checked.name,
                file=place,
                kind=checked.kind,
                size=len(checked.content),
                digest=digest,
                added_by=account,
            )
    except BaseException:
        default_storage.delete(place)
        raise
    return document, checked.told


def _written(content: bytes) -> str:
    """Write a file under a name of its own and give that; where the disk is full no part of it stays."""
    name = f"{timezone.now():%Y/%m}/{secrets.token_hex(16)}"
    try:
        return default_storage.save(name, ContentFile(content))
    except BaseException:
        default_storage.delete(name)
        raise


@transaction.atomic
def withdraw(document: Document, why: str, account: Account) -> bool:
    """Withdraw a document; it stays, with who, when and why. False where somebody was quicker."""
    locked = Document.objects.select_for_update(of=("self",)).get(pk=document.pk)
    if locked.withdrawn:
        return False
    locked.withdrawn, locked.withdrawn_by, locked.withdrawn_why = timezone.now(), account, why
    locked.save(update_fields=["withdrawn", "withdrawn_by", "withdrawn_why"])
    return True
