"""The editor of one rig: its text and its tables, with what they come to beside them."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_POST, require_safe

from ropewright.web.access import may
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.views.saving import DESK
from ropewright.web.versions.desk import editor_page, live_answer
from ropewright.web.versions.reading import version_asked

__all__ = ["edit", "live", "signed_in_again"]


@require_safe
@may("edit rigs")
def edit(request: HttpRequest, rig: str) -> HttpResponse:
    """Write on from the version that counts, or from another one (`?from=`)."""
    found = get_object_or_404(Rig, slug=rig)
    version = version_asked(found, request.GET.get("from", ""))
    return editor_page(request, DESK, found, version.text, version)


@require_POST
@may("edit rigs")
def live(request: HttpRequest) -> HttpResponse:
    """Look at a text, one stage of it."""
    return live_answer(request, DESK)


@require_safe
@may("be signed in")
def signed_in_again(request: HttpRequest) -> HttpResponse:
    """Where somebody lands who signed in again beside a page with unsaved text."""
    return render(request, "rigs/edit_signed_in.html")
