"""The library of procedures, and the first picture of each."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.policy.now import rules_now
from ropewright.web.procedures.listing import entries, searched
from ropewright.web.workings.models import Working

__all__ = ["PAGE", "first_picture", "library"]

PAGE = 50


@require_safe
@may("see procedures")
def library(request: HttpRequest) -> HttpResponse:
    """Every procedure that is not put away, by title; `?put-away=1` those that are."""
    words, rig = request.GET.get("words", "")[:200], request.GET.get("rig", "")[:80]
    away = request.GET.get("put-away") == "1"
    page = Paginator(searched(words, rig, away=away), PAGE).get_page(request.GET.get("page"))
    listed = entries(page.object_list, rules_now())
    context = {
        "page": page,
        "listed": listed,
        "words": words,
        "rig": rig,
        "away": away,
        "pending": any(not entry.short for entry in listed),
    }
    return render(request, "procedures/library.html", context)


@require_safe
@may("see procedures")
def first_picture(request: HttpRequest, key: str) -> HttpResponse:
    """The first picture of a procedure, by what it was worked out from: it never changes."""
    row = get_object_or_404(Working, kind="procedure-first", key=key)
    response = HttpResponse(row.data["svg"], content_type="image/svg+xml")
    response["Cache-Control"] = "private, max-age=31536000, immutable"
    return response
