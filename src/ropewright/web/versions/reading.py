"""The versions of a file as pages ask for them: one by its number, all of them, two of them compared."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Page, Paginator
from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from ropewright.web.versions.diff import changes
from ropewright.web.versions.models import VersionedFile

__all__ = ["NONE", "compared", "every_version", "number_or", "version_asked", "version_of"]

PAGE = 50
NONE = -1
"""A number that no version has."""


def number_or(word: str | None, otherwise: int) -> int:
    """A version's number as an address or a form has it; anything else is taken as left out."""
    return int(word) if word and word.isascii() and word.isdecimal() and len(word) < 9 else otherwise


def version_of(file: VersionedFile, number: int) -> Any:
    """A version of a file, with its author; 404 where there is none."""
    return get_object_or_404(file.versions.select_related("author__person"), number=number)


def version_asked(file: VersionedFile, number: str) -> Any:
    """The version of an address, or the one that counts where it names none; 404 where there is none such."""
    return version_of(file, number_or(number, NONE) if number else file.latest)


def every_version(request: HttpRequest, file: VersionedFile) -> Page[Any]:
    """Every version, the newest first: who saved it, when, from which, with what note."""
    found = file.versions.defer("text").select_related("author__person")
    return Paginator(found, PAGE).get_page(request.GET.get("page"))


def compared(request: HttpRequest, file: VersionedFile) -> dict[str, Any]:
    """Two versions (`?from=1&to=3`) and what went and came between them; left out, the one that counts and
    the one that it was written from.
    """
    new = version_of(file, number_or(request.GET.get("to"), file.latest))
    old = version_of(file, number_or(request.GET.get("from"), new.base or new.number))
    numbers = file.versions.values_list("number", flat=True)
    return {"old": old, "new": new, "numbers": numbers, "changes": changes(old.text, new.text)}
