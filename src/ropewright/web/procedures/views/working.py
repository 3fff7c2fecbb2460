"""How far something is that is being worked out beside the server."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from ropewright.web.access import may
from ropewright.web.workings.background import TASKS, again, look
from ropewright.web.workings.models import Working

__all__ = ["retry", "working"]


@require_safe
@may("see procedures")
def working(request: HttpRequest, key: str) -> HttpResponse:
    """How far a result is, asked again and again by the page that waits; once it is there that opens anew."""
    row = look(get_object_or_404(Working, key=key, kind__in=TASKS))
    if row.state != Working.State.RUNNING:
        return HttpResponse(headers={"HX-Refresh": "true"})
    return render(request, "procedures/waiting.html", {"row": row})


@require_POST
@may("see procedures")
def retry(request: HttpRequest, key: str) -> HttpResponse:
    """Try once more what could not be worked out."""
    again(get_object_or_404(Working, key=key, kind__in=TASKS))
    back = request.POST.get("back", "")
    here = url_has_allowed_host_and_scheme(back, {request.get_host()}, request.is_secure())
    return HttpResponseRedirect(back) if here else redirect("procedures:library")
