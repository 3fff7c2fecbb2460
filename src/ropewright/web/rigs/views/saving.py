"""Saving a rig's text, and choosing between two that were saved at once."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods, require_POST

from ropewright.web.access import may
from ropewright.web.rigs.live import look
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.saving import Saved, save
from ropewright.web.versions import desk

__all__ = ["DESK", "beside", "kept", "save_text"]


def _save(*words: Any, **more: Any) -> Saved:
    return save(*words, **more)


DESK = desk.Desk("rigs", "rig", "Ropes and gear", "rigs", look, _save)


@require_POST
@may("edit rigs")
def save_text(request: HttpRequest, rig: str) -> HttpResponse:
    """Keep a text as a version; the editor's script is answered in JSON, a bare form with a page."""
    return desk.save_text(request, DESK, get_object_or_404(Rig, slug=rig))


@require_http_methods(["GET", "HEAD", "POST"])
@may("edit rigs")
def beside(request: HttpRequest, rig: str, number: int) -> HttpResponse:
    """A version that stands beside the one that counts: what differs, and which is to count."""
    return desk.beside_page(request, DESK, get_object_or_404(Rig, slug=rig), number)


def kept(request: HttpRequest, rig: Rig, saved: Saved, done: str) -> HttpResponse:
    """Onwards from a save that nobody wrote in the editor; ``done``: how it is told where it counts."""
    if saved.outcome == "beside":
        text = "Somebody saved another version meanwhile. Yours is kept beside it, as version"
        messages.warning(request, f"{text} {saved.version.number}.")
    return desk.onwards(request, DESK, rig, saved, done)
