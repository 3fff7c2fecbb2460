"""The page of one item; adding, changing and cutting."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from ropewright.web.access import may, signed_in
from ropewright.web.gear.cutting import can_be_cut, cut, lineage
from ropewright.web.gear.figures import figures_of
from ropewright.web.gear.forms import ChangedItemForm, NewItemForm
from ropewright.web.gear.forms_cutting import CutForm
from ropewright.web.gear.intervals import age_of, interval_for
from ropewright.web.gear.kinds import kind_of
from ropewright.web.gear.models import Item
from ropewright.web.gear.qr import qr_svg
from ropewright.web.gear.refusals import GearError
from ropewright.web.gear.states import enter, hold_on, why_not_usable
from ropewright.web.gear.usable import on_the_rig
from ropewright.web.gear.uses import totals
from ropewright.web.meanwhile import newest, overtaken

__all__ = ["add_item", "change_item", "cut_item", "item_page"]

_LATEST = 10


@require_safe
@may("see gear")
def item_page(request: HttpRequest, item: int) -> HttpResponse:
    """Everything about an item."""
    found = get_object_or_404(Item.objects.select_related("kit", "place", "cut_from"), pk=item)
    above = lineage(found)
    end = None if "every" in request.GET else _LATEST
    lists: dict[str, Any] = {
        "changes": found.changes.select_related("by__person", "event", "inspection")[:end],
        "inspections": found.inspections.prefetch_related("findings")[:end],
        "uses": found.uses.select_related("corrects", "corrected_by", "issue")[:end],
        "issues": found.issues.select_related("issue").order_by("-issue__given")[:end],
    }
    context: dict[str, Any] = {
        "item": found,
        "kind": kind_of(found.type),
        "front_line": on_the_rig(found),
        "figures": figures_of(found),
        "age": age_of(found, timezone.localdate()),
        "interval": interval_for(found.type),
        "hold": hold_on(found),
        "why_not": why_not_usable(found),
        "above": above,
        "pieces": found.pieces.all(),
        **lists,
        "more": end is not None and any(len(rows) >= end for rows in lists.values()),
        "totals": totals([found.pk]),
        "totals_before": totals([rope.pk for rope in above]) if above else None,
        "cutting": not can_be_cut(found),
        "qr": qr_svg(request.build_absolute_uri(request.path)),
        "latest": _LATEST,
    }
    return render(request, "gear/item.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def add_item(request: HttpRequest) -> HttpResponse:
    """A new item; `like` names one whose record it starts from."""
    form = NewItemForm(request.POST or None, initial=_like(request))
    if request.method == "POST" and form.is_valid():
        doubt = form.cleaned_data["doubt"]
        item = enter(form.save(commit=False), signed_in(request), doubt or "entered", quarantined=bool(doubt))
        messages.success(request, f"{item.mark} is on record. It can be used once it has been inspected.")
        return redirect("gear:item", item=item.pk)
    context = {"form": form, "heading": "Add an item", "button": "Add it"}
    return render(request, "gear/item_form.html", context, status=422 if form.errors else 200)


def _like(request: HttpRequest) -> dict[str, Any]:
    text = request.GET.get("like", "")
    twin = Item.objects.filter(pk=int(text)).first() if text.isdecimal() and len(text) < 16 else None
    if twin is None:
        return {}
    own = {"mark", "serial", "note"}
    return {name: getattr(twin, name) for name in NewItemForm.Meta.fields if name not in own}


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def change_item(request: HttpRequest, item: int) -> HttpResponse:
    """Change an item's record, unless somebody else changed it since it was opened."""
    if request.method == "POST":
        with transaction.atomic():
            form = _changed(request, get_object_or_404(Item.objects.select_for_update(), pk=item))
        if not form.errors:
            messages.success(request, f"{form.instance.mark} is changed.")
            return redirect("gear:item", item=item)
    else:
        found = get_object_or_404(Item, pk=item)
        form = ChangedItemForm(instance=found, initial={"base": newest(found)[0]})
    now = Item.objects.get(pk=item)
    context = {"form": form, "item": now, "heading": f"Change {now.mark}", "button": "Save"}
    return render(request, "gear/item_form.html", context, status=422 if form.errors else 200)


def _changed(request: HttpRequest, item: Item) -> ChangedItemForm:
    """The form of a locked item, saved where it is right and was filled in from the newest record."""
    now = newest(item)
    form = ChangedItemForm(request.POST, instance=item)
    if form.is_valid() and not overtaken(form, now, "item"):
        form.save()
    return form


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def cut_item(request: HttpRequest, item: int) -> HttpResponse:
    """Cut a rope into pieces."""
    found = get_object_or_404(Item, pk=item)
    form = CutForm(request.POST or None)
    why_not = can_be_cut(found)
    if request.method == "POST" and form.is_valid():
        try:
            made = cut(found.pk, form.pieces, form.cleaned_data["why"], signed_in(request))
        except GearError as error:
            form.refuse(error)
        else:
            marks = ", ".join(piece.mark for piece in made)
            messages.success(request, f"{found.mark} is retired; {marks} is new and due for inspection.")
            return redirect("gear:item", item=made[0].pk)
    context = {"form": form, "item": found, "why_not": why_not}
    return render(request, "gear/cut.html", context, status=422 if form.errors else 200)
