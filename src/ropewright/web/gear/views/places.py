"""Places and kits."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Count, Q
from django.forms import ModelForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from ropewright.web.access import may
from ropewright.web.gear.forms import KitForm, PlaceForm
from ropewright.web.gear.models import Item, Kit, Place

__all__ = ["add_kit", "add_place", "change_kit", "change_place", "places"]

_HERE = Count("items", filter=~Q(items__state=Item.State.RETIRED))


@require_safe
@may("see gear")
def places(request: HttpRequest) -> HttpResponse:
    """Every place and kit with how much is there."""
    context = {
        "stores": Place.objects.annotate(count=_HERE).order_by("name"),
        "kits": Kit.objects.select_related("place").annotate(count=_HERE).order_by("name"),
    }
    return render(request, "gear/places.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def add_place(request: HttpRequest) -> HttpResponse:
    """A new place."""
    return _form(request, PlaceForm(request.POST or None), "Add a place")


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def change_place(request: HttpRequest, place: int) -> HttpResponse:
    """Change a place."""
    found = get_object_or_404(Place, pk=place)
    return _form(request, PlaceForm(request.POST or None, instance=found), f"Change {found}")


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def add_kit(request: HttpRequest) -> HttpResponse:
    """A new kit."""
    return _form(request, KitForm(request.POST or None), "Add a kit")


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def change_kit(request: HttpRequest, kit: int) -> HttpResponse:
    """Change a kit."""
    found = get_object_or_404(Kit, pk=kit)
    return _form(request, KitForm(request.POST or None, instance=found), f"Change {found}")


def _form(request: HttpRequest, form: ModelForm, heading: str) -> HttpResponse:  # type: ignore[type-arg]
    if request.method == "POST" and form.is_valid():
        messages.success(request, f"{form.save()} is saved.")
        return redirect("gear:places")
    context = {"form": form, "heading": heading}
    return render(request, "gear/place_form.html", context, status=422 if form.errors else 200)
