"""The cache as a table: in by way of a preview, out as CSV or XLSX."""

from __future__ import annotations

import uuid

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.web.access import may
from ropewright.web.gear.importing import GearBook
from ropewright.web.gear.searching import found, read_search
from ropewright.web.gear.table import columns, rows_of
from ropewright.web.tables.pages import Pages, table_answer

__all__ = ["choose", "drop", "export", "look", "send", "take", "wrong"]

_PAGES = Pages(
    "gear",
    "gear:list",
    GearBook,
    "A new item is due, and on no plan, until its first inspection is recorded.",
)


@require_safe
@may("see gear")
def export(request: HttpRequest) -> HttpResponse:
    """The items that the list's filters show, as a file."""
    items = found(read_search(request.GET)).select_related("cut_from").iterator(chunk_size=500)
    return table_answer(request, "gear", columns(), lambda written, system: rows_of(items, written, system))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def send(request: HttpRequest) -> HttpResponse:
    """Send a table of gear."""
    return _PAGES.send(request)


@require_safe
@may("keep gear")
def look(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """What a table would do."""
    return _PAGES.look(request, upload)


@require_POST
@may("keep gear")
def choose(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """Say how a table is to be read."""
    return _PAGES.choose(request, upload)


@require_POST
@may("keep gear")
def take(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """Take a table in."""
    return _PAGES.take(request, upload)


@require_POST
@may("keep gear")
def drop(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """Throw a table away."""
    return _PAGES.drop(request, upload)


@require_safe
@may("keep gear")
def wrong(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """The wrong rows as a file."""
    return _PAGES.wrong(request, upload)
