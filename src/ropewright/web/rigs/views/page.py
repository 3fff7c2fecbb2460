"""One rig opened."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.pages.keeping import kept_offline
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.engine import summary_of

__all__ = ["open_rig"]


@kept_offline
@require_safe
@may("see rigs")
def open_rig(request: HttpRequest, rig: str) -> HttpResponse:
    """One rig: its picture and its numbers, worked out from its text."""
    found = get_object_or_404(Rig, slug=rig)
    version = found.current
    return render(
        request, "rigs/open.html", {"rig": found, "version": version, "worked": summary_of(version.text)}
    )
