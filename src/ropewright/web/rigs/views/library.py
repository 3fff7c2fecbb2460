"""The library of rigs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.rigs.models import Rig

__all__ = ["library"]


@require_safe
@may("see rigs")
def library(request: HttpRequest) -> HttpResponse:
    """Every rig that is not put away."""
    return render(request, "rigs/library.html", {"rigs": Rig.objects.filter(put_away=None)})
