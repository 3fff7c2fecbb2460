"""The versions of a procedure, and what differs between two of them."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.procedures.models import Procedure, ProcedureVersion
from ropewright.web.procedures.opening import number_or
from ropewright.web.versions.diff import changes

__all__ = ["differences", "version", "versions"]


@require_safe
@may("see procedures")
def versions(request: HttpRequest, procedure: str) -> HttpResponse:
    """Every version, the newest first: who saved it, when, from which, with what note."""
    found = get_object_or_404(Procedure, slug=procedure)
    every = found.versions.defer("text").select_related("author__person")
    page = Paginator(every, 50).get_page(request.GET.get("page"))
    return render(request, "procedures/versions.html", {"procedure": found, "page": page})


@require_safe
@may("see procedures")
def version(request: HttpRequest, procedure: str, number: int) -> HttpResponse:
    """One version is the procedure's page, at that version."""
    return redirect(f"{reverse('procedures:open', args=[procedure])}?version={number}")


@require_safe
@may("see procedures")
def differences(request: HttpRequest, procedure: str) -> HttpResponse:
    """What went and what came between two versions, line by line."""
    found = get_object_or_404(Procedure, slug=procedure)
    every = ProcedureVersion.objects.filter(file=found).select_related("author__person")
    new = get_object_or_404(every, number=number_or(request.GET.get("to"), found.latest))
    old = get_object_or_404(every, number=number_or(request.GET.get("from"), new.base or new.number))
    context = {
        "procedure": found,
        "old": old,
        "new": new,
        "numbers": found.versions.values_list("number", flat=True),
        "changes": changes(old.text, new.text),
    }
    return render(request, "procedures/differences.html", context)
