"""How far something is that is being worked out beside the server."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from ropewright.web.access import may
from ropewright.web.workings import background
from ropewright.web.workings.background import again, before, look
from ropewright.web.workings.models import Working

__all__ = ["retry", "working"]


@require_safe
@may("be signed in")
def working(request: HttpRequest, key: str) -> HttpResponse:
    """How far a result is, asked again and again by the page that waits; once it is there that opens anew.

    A page that can't be opened anew, as it stands for a file or for a form that was sent (`?then=file`,
    `?then=form`), is told that it is there.
    """
    row = look(get_object_or_404(Working, key=key, kind__in=background.TASKS))
    then = request.GET.get("then", "")
    if row.state == Working.State.RUNNING:
        return render(request, "workings/waiting.html", {"row": row, "then": then, "before": before(row)})
    if then == "form" or (then == "file" and row.is_done):
        return render(request, "workings/there.html", {"row": row, "then": then})
    return HttpResponse(headers={"HX-Refresh": "true"})


@require_POST
@may("be signed in")
def retry(request: HttpRequest, key: str) -> HttpResponse:
    """Try once more what could not be worked out."""
    again(get_object_or_404(Working, key=key, kind__in=background.TASKS))
    back = request.POST.get("back", "")
    here = url_has_allowed_host_and_scheme(back, {request.get_host()}, request.is_secure())
    return HttpResponseRedirect(back) if here else redirect("pages:today")
