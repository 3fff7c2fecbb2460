"""The roster."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.people.models import Person

__all__ = ["roster"]


@require_safe
@may("see people")
def roster(request: HttpRequest) -> HttpResponse:
    """Everybody who is active."""
    return render(request, "people/roster.html", {"people": Person.objects.filter(active=True)})
