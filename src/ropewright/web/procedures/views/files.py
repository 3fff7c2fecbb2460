"""A procedure as a file, and putting one away."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST, require_safe

from ropewright.web.access import may
from ropewright.web.procedures.models import Procedure
from ropewright.web.procedures.opening import opened
from ropewright.web.versions import away

__all__ = ["bring_back", "put_away", "text"]


@require_safe
@may("see procedures")
def text(request: HttpRequest, procedure: str) -> HttpResponse:
    """The procedure file itself, at the version that is looked at."""
    found = opened(request, procedure)
    name = found.procedure.file_name
    return HttpResponse(
        found.version.text.encode(),
        content_type="text/yaml; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@require_POST
@may("edit procedures")
def put_away(request: HttpRequest, procedure: str) -> HttpResponse:
    """Take a procedure out of the library. It is kept, with all its versions."""
    return away.put_away(request, get_object_or_404(Procedure, slug=procedure), "procedures:library")


@require_POST
@may("edit procedures")
def bring_back(request: HttpRequest, procedure: str) -> HttpResponse:
    """Bring a procedure back into the library."""
    return away.bring_back(request, get_object_or_404(Procedure, slug=procedure), "procedures:open")
