"""Saving a rig's text, and choosing between two that were saved at once."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from ropewright.web.access import may, signed_in
from ropewright.web.rigs.models import Rig, RigVersion
from ropewright.web.rigs.saving import Saved, SaveError, save
from ropewright.web.rigs.views.editor import editor_page
from ropewright.web.versions.diff import changes

__all__ = ["beside", "save_text"]


@require_POST
@may("edit rigs")
def save_text(request: HttpRequest, rig: str) -> HttpResponse:
    """Keep a text as a version; the editor's script is answered in JSON, a bare form with a page."""
    found = get_object_or_404(Rig, slug=rig)
    scripted = "application/json" in request.headers.get("Accept", "")
    who, given = signed_in(request), request.POST
    if given.get("who") not in (None, "", str(who.pk)):
        told = f"You are signed in as {who.shown} now, and this text was written under another account."
        if scripted:
            return JsonResponse({"outcome": "somebody else", "told": told, "who": who.pk}, status=409)
        return _refused(request, found, told)
    try:
        saved = save(
            found,
            given.get("text", ""),
            who,
            base=_number(given.get("base", "")),
            note=given.get("note", ""),
            key=given.get("key", ""),
        )
    except SaveError as error:
        words = f"{str(error)[:1].upper()}{str(error)[1:]}."
        return (
            JsonResponse({"outcome": "refused", "told": words}, status=422)
            if scripted
            else _refused(request, found, words)
        )
    return JsonResponse(_answer(found, saved)) if scripted else _onwards(request, found, saved)


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 10 else -1


def _answer(rig: Rig, saved: Saved) -> dict[str, Any]:
    return {
        "outcome": saved.outcome,
        "told": saved.told,
        "number": saved.version.number,
        "current": saved.current.number,
        "open": reverse("rigs:open", args=[rig.slug]),
        "beside": reverse("rigs:beside", args=[rig.slug, saved.version.number]),
    }


def _refused(request: HttpRequest, rig: Rig, words: str) -> HttpResponse:
    """The editor again, with the text as it was sent."""
    given = request.POST
    base = rig.versions.filter(number=_number(given.get("base", ""))).first() or rig.current
    return editor_page(
        request, rig, given.get("text", ""), base, wrong=words, note=given.get("note", "")[:200]
    )


def _onwards(request: HttpRequest, rig: Rig, saved: Saved) -> HttpResponse:
    if saved.outcome == "beside":
        return redirect("rigs:beside", rig.slug, saved.version.number)
    level = messages.WARNING if saved.faults else messages.SUCCESS
    messages.add_message(request, level, saved.told)
    if saved.faults:
        return redirect(f"{reverse('rigs:edit', args=[rig.slug])}?from={saved.version.number}")
    return redirect("rigs:open", rig.slug)


@require_http_methods(["GET", "HEAD", "POST"])
@may("edit rigs")
def beside(request: HttpRequest, rig: str, number: int) -> HttpResponse:
    """A version that stands beside the one that counts: what differs, and which is to count."""
    found = get_object_or_404(Rig, slug=rig)
    version = get_object_or_404(RigVersion, file=found, number=number)
    if request.method == "POST":
        return _taken(request, found, version)
    context = {
        "rig": found,
        "mine": version,
        "current": found.current,
        "changes": changes(found.current.text, version.text),
    }
    return render(request, "rigs/edit_beside.html", context)


def _taken(request: HttpRequest, rig: Rig, version: RigVersion) -> HttpResponse:
    """Let a version that stands beside count, as a new version behind the one that was looked at."""
    saved = save(
        rig,
        version.text,
        signed_in(request),
        base=_number(request.POST.get("current", "")) if request.POST.get("current") else rig.latest,
        note=f"version {version.number}, taken over",
    )
    return _onwards(request, rig, saved)
