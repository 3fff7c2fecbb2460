"""What a text comes to while it is written."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from ropewright.web.access import may
from ropewright.web.rigs.live import look

__all__ = ["live"]


@require_POST
@may("edit rigs")
def live(request: HttpRequest) -> HttpResponse:
    """Look at a text: first what needs no failure tried, then (`whole`) all of it.

    `n` is given back as it came, so that the page can tell the newest answer from older ones.
    """
    whole = request.POST.get("whole") == "yes"
    seen = look(request.POST.get("text", ""), whole=whole)
    data = {
        "n": request.POST.get("n", "")[:20],
        "ms": seen.milliseconds,
        "whole": seen.whole,
        "usable": not seen.faults,
        "lines": sorted(seen.lines.items()),
        "verdict": render_to_string("rigs/edit_verdict.html", {"look": seen}, request),
        "said": render_to_string("rigs/edit_said.html", {"look": seen}, request),
        "picture": None if whole and seen.svg else render_to_string("rigs/edit_picture.html", {"look": seen}),
    }
    return JsonResponse(data)
