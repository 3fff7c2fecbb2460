"""The roster, and what runs out on it."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.people.expiry import SOON, running_out, standing, standings
from ropewright.web.people.roster import never_hauls
from ropewright.web.people.search import CAN, WHICH, Asked, duties, found

__all__ = ["roster", "running_out_soon"]

_A_PAGE = 50


@require_safe
@may("see people")
def roster(request: HttpRequest) -> HttpResponse:
    """Those who are looked for, with what they may do and what has run out."""
    asked = Asked.of(request.GET)
    page = Paginator(found(asked).prefetch_related("prerequisites"), _A_PAGE).get_page(
        request.GET.get("page")
    )
    today = timezone.localdate()
    rows = []
    for person in page:
        told = [
            each for each in standings(person.prerequisites.all(), today) if each.mark in ("due", "expired")
        ]
        rows.append({"person": person, "told": told, "hauls": person.hauls and not never_hauls(person)})
    context = {
        "asked": asked,
        "page": page,
        "rows": rows,
        "duties": duties(),
        "which": WHICH.items(),
        "can_do": CAN.items(),
        "out": running_out(today).count(),
        "soon": SOON,
    }
    return render(request, "people/roster.html", context)


@require_safe
@may("see people")
def running_out_soon(request: HttpRequest) -> HttpResponse:
    """What has expired, and what will soon."""
    today = timezone.localdate()
    page = Paginator(running_out(today), _A_PAGE).get_page(request.GET.get("page"))
    rows = [standing(each, today) for each in page]
    return render(request, "people/running_out.html", {"page": page, "rows": rows, "soon": SOON})
