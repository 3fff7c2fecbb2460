"""The versions of a rig, what differs between two of them, and taking an old one up again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from ropewright.web.access import may, signed_in
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.saving import SaveError, save
from ropewright.web.rigs.views.saving import kept
from ropewright.web.versions.reading import compared, every_version, number_or, version_of
from ropewright.web.versions.saving import sentence

__all__ = ["differences", "take_up", "versions"]


@require_safe
@may("see rigs")
def versions(request: HttpRequest, rig: str) -> HttpResponse:
    """Every version, the newest first: who saved it, when, from which, with what note."""
    found = get_object_or_404(Rig, slug=rig)
    return render(request, "rigs/versions.html", {"rig": found, "page": every_version(request, found)})


@require_safe
@may("see rigs")
def differences(request: HttpRequest, rig: str) -> HttpResponse:
    """What went and what came between two versions, line by line."""
    found = get_object_or_404(Rig, slug=rig)
    return render(request, "rigs/differences.html", {"rig": found, **compared(request, found)})


@require_POST
@may("edit rigs")
def take_up(request: HttpRequest, rig: str, number: int) -> HttpResponse:
    """Save an old version's text as a new one. From a page that is no longer the newest it is kept beside;
    where it can't be used any more it is kept as a draft.
    """
    found = get_object_or_404(Rig, slug=rig)
    old = version_of(found, number)
    base = number_or(request.POST.get("base"), found.latest)
    try:
        saved = save(
            found, old.text, signed_in(request), base=base, note=f"version {old.number} taken up again"
        )
    except SaveError as error:
        messages.error(request, sentence(error))
        return redirect("rigs:version", found.slug, old.number)
    number = saved.version.number
    return kept(request, found, saved, f"Version {old.number} was taken up again as version {number}.")
