"""The roster as a table: in by way of a preview, out as CSV or XLSX. Masses go out to few."""

from __future__ import annotations

import uuid

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.web.access import allowed, may
from ropewright.web.people.importing import PeopleBook
from ropewright.web.people.search import Asked, found
from ropewright.web.people.table import columns, rows_of
from ropewright.web.tables.pages import Pages, table_answer

__all__ = ["choose", "drop", "export", "look", "send", "take", "wrong"]

_PAGES = Pages("people", "people:roster", PeopleBook)


@require_safe
@may("see people")
def export(request: HttpRequest) -> HttpResponse:
    """Those whom the roster's search finds, as a file."""
    people = found(Asked.of(request.GET))
    written = columns(private=allowed(request.user, "see masses"))
    return table_answer(request, "people", written, lambda columns, system: rows_of(people, columns, system))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def send(request: HttpRequest) -> HttpResponse:
    """Send a table of people."""
    return _PAGES.send(request)


@require_safe
@may("keep people")
def look(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """What a table would do."""
    return _PAGES.look(request, upload)


@require_POST
@may("keep people")
def choose(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """Say how a table is to be read."""
    return _PAGES.choose(request, upload)


@require_POST
@may("keep people")
def take(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """Take a table in."""
    return _PAGES.take(request, upload)


@require_POST
@may("keep people")
def drop(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """Throw a table away."""
    return _PAGES.drop(request, upload)


@require_safe
@may("keep people")
def wrong(request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
    """The wrong rows as a file."""
    return _PAGES.wrong(request, upload)
