"""Documents of people: a medical, a certificate. Read by those who teach, the person and the auditor."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from ropewright.web.access import may, signed_in
from ropewright.web.documents import pages
from ropewright.web.documents.listing import may_open
from ropewright.web.documents.serving import give_out
from ropewright.web.gear.models import Document
from ropewright.web.people.models import Person

__all__ = ["add", "document", "withdraw"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def add(request: HttpRequest, person: int) -> HttpResponse:
    """Add one to a person's entry."""
    found = get_object_or_404(Person, pk=person)
    return _private(pages.add(request, found, _page_of(found)))


@require_safe
@may("be signed in")
def document(request: HttpRequest, document: int) -> HttpResponseBase:
    """The file of a document, for those who may read this person's."""
    found = _of_people(document)
    if not may_open(signed_in(request), found):
        raise PermissionDenied("a document of somebody else")
    return give_out(request, found)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def withdraw(request: HttpRequest, document: int) -> HttpResponse:
    """Withdraw a document."""
    found = _of_people(document)
    return _private(pages.withdraw(request, found, _page_of(found.person)))


def _of_people(pk: int) -> Document:
    """A document about a person; one about gear is nothing here."""
    return get_object_or_404(Document.objects.select_related("person").exclude(person=None), pk=pk)


def _page_of(person: Person | None) -> str:
    return reverse("people:person", kwargs={"person": person.pk if person else 0})


def _private(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = "private, no-store"
    return response
