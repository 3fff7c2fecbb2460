"""The versions of a procedure, and what differs between two of them."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.procedures.models import Procedure
from ropewright.web.versions.reading import compared, every_version

__all__ = ["differences", "version", "versions"]


@require_safe
@may("see procedures")
def versions(request: HttpRequest, procedure: str) -> HttpResponse:
    """Every version, the newest first: who saved it, when, from which, with what note."""
    found = get_object_or_404(Procedure, slug=procedure)
    page = every_version(request, found)
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
    return render(request, "procedures/differences.html", {"procedure": found, **compared(request, found)})
