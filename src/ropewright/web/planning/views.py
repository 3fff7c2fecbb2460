"""Plans: can we rig it?"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.planning.models import Plan

__all__ = ["plans"]


@require_safe
@may("see plans")
def plans(request: HttpRequest) -> HttpResponse:
    """Every plan, the latest day first."""
    return render(request, "planning/plans.html", {"plans": Plan.objects.all()})
