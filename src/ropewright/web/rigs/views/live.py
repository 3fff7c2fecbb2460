"""What a text comes to while it is written."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from ropewright.web.access import may
from ropewright.web.rigs.live import Stage, look

__all__ = ["live"]

STAGES: dict[str, Stage] = {"first": "first", "picture": "picture"}


@require_POST
@may("edit rigs")
def live(request: HttpRequest) -> HttpResponse:
    """Look at a text, one stage of it.

    `n` is given back as it came, so that the page can tell the newest answer from older ones.
    """
    stage = STAGES.get(request.POST.get("stage", ""), "whole")
    seen = look(request.POST.get("text", ""), stage)
    data = {
        "n": request.POST.get("n", "")[:20],
        "ms": seen.milliseconds,
        "whole": seen.whole,
        "usable": not seen.faults,
        "drawn": not seen.faults and not seen.trouble,
        "lines": sorted(seen.lines.items()),
        "verdict": render_to_string("rigs/edit_verdict.html", {"look": seen}, request),
        "said": render_to_string("rigs/edit_said.html", {"look": seen}, request),
        "picture": render_to_string("rigs/edit_picture.html", {"look": seen}) if stage == "picture" else None,
    }
    return JsonResponse(data)
