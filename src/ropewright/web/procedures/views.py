"""The library of procedures."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.procedures.models import Procedure

__all__ = ["library"]


@require_safe
@may("see procedures")
def library(request: HttpRequest) -> HttpResponse:
    """Every procedure that is not put away."""
    return render(request, "procedures/library.html", {"procedures": Procedure.objects.filter(put_away=None)})
