"""What if: a rig's numbers with some of its figures changed. Nothing is saved."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from ropewright.errors import RopewrightError
from ropewright.web.access import may
from ropewright.web.rigs.glancing import side_by_side
from ropewright.web.rigs.knobs import Turned, text_of
from ropewright.web.rigs.models import Rig, RigVersion
from ropewright.web.rigs.saving import LONGEST_NOTE
from ropewright.web.rigs.trying import glance_as_saved, glance_turned, turned_by
from ropewright.web.rigs.views.saving import DESK
from ropewright.web.versions.desk import editor_page
from ropewright.web.versions.reading import version_of

__all__ = ["changed_text", "figures", "what_if"]


@require_safe
@may("see rigs")
def what_if(request: HttpRequest, rig: str) -> HttpResponse:
    """The knobs, and the numbers that they come to beside those of the rig as it is saved."""
    found = get_object_or_404(Rig, slug=rig)
    version = version_of(found, found.latest)
    try:
        context = _tried(version, request.GET.dict())
    except RopewrightError as error:
        messages.error(request, f"It can't be tried: {error}")
        return redirect("rigs:open", found.slug)
    return render(request, "rigs/what_if.html", {"rig": found, "version": version, **context})


@require_safe
@may("see rigs")
def figures(request: HttpRequest, rig: str) -> HttpResponse:
    """The numbers alone, asked while a knob is turned."""
    found = get_object_or_404(Rig, slug=rig)
    try:
        context = _tried(found.current, request.GET.dict())
    except RopewrightError as error:
        return HttpResponse(status=409, content=str(error), content_type="text/plain; charset=utf-8")
    return render(request, "rigs/what_if_figures.html", context)


@require_safe
@may("edit rigs")
def changed_text(request: HttpRequest, rig: str) -> HttpResponse:
    """The editor with the same changes made in the text. Nothing is saved until it is saved there."""
    found = get_object_or_404(Rig, slug=rig)
    version = version_of(found, found.latest)
    try:
        _, done = turned_by(version.text, request.GET.dict())
        text = text_of(version.text, done)
    except RopewrightError as error:
        messages.error(request, f"The text could not be changed: {error}")
        return redirect("rigs:what-if", found.slug)
    for told in done.wrong.values():
        messages.warning(request, f"Left as it was, {told}")
    return editor_page(request, DESK, found, text, version, note=_note(done), unsaved=bool(done.changed))


def _note(done: Turned) -> str:
    """What was turned, for the note of a version."""
    said = ", ".join(f"{knob.label} {done.values[knob.key]:g} {knob.unit}".strip() for knob in done.changed)
    return said[:LONGEST_NOTE]


def _tried(version: RigVersion, query: dict[str, str]) -> dict[str, Any]:
    """What the page shows."""
    knobs, done = turned_by(version.text, query)
    saved = glance_as_saved(version.text)
    now = glance_turned(version.text, done) if done.changed else saved
    groups: dict[str, list[dict[str, Any]]] = {}
    for n, k in enumerate(knobs, 1):
        row = {"knob": k, "id": f"knob-{n}", "value": done.values[k.key], "wrong": done.wrong.get(k.key, "")}
        groups.setdefault(k.group, []).append(row)
    return {
        "groups": groups.items(),
        "rows": side_by_side(saved, now),
        "now": now,
        "saved": saved,
        "changed": done.changed,
        "wrong": done.wrong,
    }
