"""The editor of one rig: its text and its tables, with what they come to beside them."""

from __future__ import annotations

import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from ropewright.rig.yamltext import MOST_BYTES
from ropewright.web.access import may, signed_in
from ropewright.web.rigs.live import look
from ropewright.web.rigs.models import Rig, RigVersion
from ropewright.web.rigs.saving import LONGEST_NOTE

__all__ = ["edit", "editor_page", "signed_in_again"]


@require_safe
@may("edit rigs")
def edit(request: HttpRequest, rig: str) -> HttpResponse:
    """Write on from the version that counts, or from another one (`?from=`)."""
    found = get_object_or_404(Rig, slug=rig)
    version = _wanted(found, request.GET.get("from", ""))
    return editor_page(request, found, version.text, version)


def _wanted(rig: Rig, number: str) -> RigVersion:
    if not number:
        current: RigVersion = rig.current
        return current
    if not number.isdecimal() or len(number) > 9:
        raise Http404
    return get_object_or_404(RigVersion, file=rig, number=int(number))


def editor_page(
    request: HttpRequest,
    rig: Rig,
    text: str,
    base: RigVersion,
    *,
    wrong: str = "",
    note: str = "",
    unsaved: bool = False,
) -> HttpResponse:
    """The page of the editor; ``wrong``: why a save was refused, with the text as it was sent; ``unsaved``:
    the text is another than that of the version that it is written on from.
    """
    mine = rig.versions.filter(
        beside=True, author=signed_in(request), number__gt=max(base.number, rig.latest)
    )
    context = {
        "rig": rig,
        "text": text,
        "base": base,
        "current": rig.latest,
        "drafts": mine.defer("text") if not wrong else (),
        "key": uuid.uuid4().hex,
        "look": look(text) if wrong else None,
        "wrong": wrong,
        "unsaved": unsaved or bool(wrong),
        "note": note,
        "longest": MOST_BYTES,
        "longest_note": LONGEST_NOTE,
        "who": signed_in(request),
    }
    return render(request, "rigs/edit.html", context, status=422 if wrong else 200)


@require_safe
@may("be signed in")
def signed_in_again(request: HttpRequest) -> HttpResponse:
    """Where somebody lands who signed in again beside a page with unsaved text."""
    return render(request, "rigs/edit_signed_in.html")
