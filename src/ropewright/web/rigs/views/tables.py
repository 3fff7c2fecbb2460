"""The same text as ropes with their contacts, and as small tables."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from ropewright.rig.editing import EditError, InUseError, UnreadableError
from ropewright.rig.editing.rows import tables
from ropewright.web.access import may
from ropewright.web.rigs.acting import act
from ropewright.web.rigs.acting_checked import UnusableError
from ropewright.web.rigs.done import Done
from ropewright.web.rigs.saving import SaveError, plain
from ropewright.web.rigs.table_forms import laid_out

__all__ = ["table"]


@require_POST
@may("edit rigs")
def table(request: HttpRequest) -> HttpResponse:
    """Lay a text out as tables, after doing what one of them asks for (`act`)."""
    text = request.POST.get("text", "")
    try:
        text = plain(text)
        done = act(text, request.POST) if request.POST.get("act") else Done(text, "")
        html = _html(request, done.text)
    except UnreadableError as error:
        page = render_to_string("rigs/edit_unreadable.html", {"faults": error.faults}, request)
        return JsonResponse({"html": page})
    except InUseError as error:
        return JsonResponse({"wrong": _sentence(error), "along": not error.kept}, status=422)
    except UnusableError as error:
        return JsonResponse({"wrong": _sentence(error), "along": False, "field": error.field}, status=422)
    except (EditError, SaveError) as error:
        return JsonResponse({"wrong": _sentence(error), "along": False}, status=422)
    return JsonResponse({"text": done.text, "told": done.told, "row": done.row, "html": html})


def _html(request: HttpRequest, text: str) -> str:
    context: dict[str, Any] = {"tables": laid_out(tables(text))}
    return render_to_string("rigs/edit_tables.html", context, request)


def _sentence(error: Exception) -> str:
    words = str(error)
    return f"{words[:1].upper()}{words[1:]}."
