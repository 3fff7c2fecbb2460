"""Writing a procedure: its text and its list of steps, with the proof beside them; saving it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.template.loader import render_to_string
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.procedure.editing import EditError, UnreadableError
from ropewright.web.access import may
from ropewright.web.procedures.acting import Done, act, offered
from ropewright.web.procedures.keeping import plain, save
from ropewright.web.procedures.live import look
from ropewright.web.procedures.models import Procedure
from ropewright.web.versions import desk
from ropewright.web.versions.reading import version_asked
from ropewright.web.versions.saving import Saved, SaveError, sentence

__all__ = ["DESK", "beside", "edit", "live", "save_text", "steps"]


def _save(*words: Any, **more: Any) -> Saved:
    return save(*words, **more)


DESK = desk.Desk("procedures", "procedure", "Steps", "procedures", look, _save)


@require_safe
@may("edit procedures")
def edit(request: HttpRequest, procedure: str) -> HttpResponse:
    """Write on from the version that counts, or from another one (`?from=`)."""
    found = get_object_or_404(Procedure, slug=procedure)
    version = version_asked(found, request.GET.get("from", ""))
    return desk.editor_page(request, DESK, found, version.text, version)


@require_POST
@may("edit procedures")
def save_text(request: HttpRequest, procedure: str) -> HttpResponse:
    """Keep a text as a version; the editor's script is answered in JSON, a bare form with a page."""
    return desk.save_text(request, DESK, get_object_or_404(Procedure, slug=procedure))


@require_http_methods(["GET", "HEAD", "POST"])
@may("edit procedures")
def beside(request: HttpRequest, procedure: str, number: int) -> HttpResponse:
    """A version that stands beside the one that counts: what differs, and which is to count."""
    return desk.beside_page(request, DESK, get_object_or_404(Procedure, slug=procedure), number)


@require_POST
@may("edit procedures")
def live(request: HttpRequest) -> HttpResponse:
    """Look at a text, one stage of it."""
    return desk.live_answer(request, DESK)


@require_POST
@may("edit procedures")
def steps(request: HttpRequest) -> HttpResponse:
    """Lay a text out as a list of steps, after doing what the list asks for (`act`)."""
    try:
        text = plain(request.POST.get("text", ""))
        done = act(text, request.POST) if request.POST.get("act") else Done(text, "")
        html = render_to_string("procedures/edit_steps.html", offered(done.text), request)
    except UnreadableError as error:
        page = render_to_string("rigs/edit_unreadable.html", {"faults": error.faults}, request)
        return JsonResponse({"html": page})
    except (EditError, SaveError) as error:
        return JsonResponse({"wrong": sentence(error), "along": False}, status=422)
    return JsonResponse({"text": done.text, "told": done.told, "row": done.row, "html": html})
