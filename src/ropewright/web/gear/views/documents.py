"""Photographs and documents of items and inspections."""

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
from ropewright.web.gear.models import Document, Inspection, Item

__all__ = ["add", "add_to_inspection", "document", "withdraw"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("log use")
def add(request: HttpRequest, item: int) -> HttpResponse:
    """Add one to an item."""
    found = get_object_or_404(Item, pk=item)
    return pages.add(request, found, reverse("gear:item", kwargs={"item": item}))


@require_http_methods(["GET", "HEAD", "POST"])
@may("log use")
def add_to_inspection(request: HttpRequest, inspection: int) -> HttpResponse:
    """Add one to an inspection."""
    found = get_object_or_404(Inspection.objects.select_related("item"), pk=inspection)
    return pages.add(request, found, reverse("gear:inspection", kwargs={"inspection": inspection}))


@require_safe
@may("see gear")
def document(request: HttpRequest, document: int) -> HttpResponseBase:
    """The file of a document."""
    found = _of_gear(document)
    if not may_open(signed_in(request), found):
        raise PermissionDenied("a withdrawn document")
    return give_out(request, found)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def withdraw(request: HttpRequest, document: int) -> HttpResponse:
    """Withdraw a document."""
    found = _of_gear(document)
    item = found.item_id or (found.inspection.item_id if found.inspection else None)
    return pages.withdraw(request, found, reverse("gear:item", kwargs={"item": item}))


def _of_gear(pk: int) -> Document:
    """A document about gear; one about a person is nothing here."""
    return get_object_or_404(Document.objects.select_related("inspection").filter(person=None), pk=pk)
