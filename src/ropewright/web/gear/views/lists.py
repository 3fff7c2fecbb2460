"""The list of items."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.gear.models import Item

__all__ = ["items"]


@require_safe
@may("see gear")
def items(request: HttpRequest) -> HttpResponse:
    """Every item that is not retired."""
    return render(request, "gear/list.html", {"items": Item.objects.exclude(state=Item.State.RETIRED)})
