"""The list of items."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.gear.forms import kind_choices
from ropewright.web.gear.intervals import age_of
from ropewright.web.gear.kinds import families
from ropewright.web.gear.models import Item, Kit, Place
from ropewright.web.gear.searching import ORDERS, SHOWN, counts, found, read_search

__all__ = ["PAGE", "items"]

PAGE = 50


@require_safe
@may("see gear")
def items(request: HttpRequest) -> HttpResponse:
    """The items of a search, a page at a time; all but the retired where nothing is asked."""
    search = read_search(request.GET.dict())
    page = Paginator(found(search), PAGE).get_page(request.GET.get("page"))
    today = timezone.localdate()
    rows = [(item, age_of(item, today)) for item in page]
    standards = Item.objects.exclude(standard="").order_by("standard").values_list("standard", flat=True)
    context = {
        "search": search,
        "page": page,
        "rows": rows,
        "counts": counts(),
        "shown": SHOWN,
        "orders": ORDERS,
        "kinds": kind_choices(),
        "families": families(),
        "stores": Place.objects.all(),
        "kits": Kit.objects.all(),
        "standards": standards.distinct(),
    }
    return render(request, "gear/list.html", context)
