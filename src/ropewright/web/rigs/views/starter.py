"""Beginning a rig: what kind, a few questions, its picture, its name."""

from __future__ import annotations

import uuid
from typing import cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from ropewright.rig import STARTER_KINDS, StarterKind
from ropewright.web.access import may, signed_in
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.live import look
from ropewright.web.rigs.names import name_of
from ropewright.web.rigs.saving import NameTakenError, SaveError, begin
from ropewright.web.rigs.starting import KINDS, StartForm, picture_of

__all__ = ["start", "start_look", "start_picture"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("edit rigs")
def start(request: HttpRequest) -> HttpResponse:
    """Choose a kind, answer its questions, save it as a rig."""
    if request.method == "POST":
        return _made(request)
    kind = request.GET.get("kind", "")
    if kind not in STARTER_KINDS:
        return render(request, "rigs/edit_kinds.html", {"kinds": KINDS.items()})
    form = StartForm(initial={"kind": kind, "key": uuid.uuid4().hex})
    return _asked(request, form, kind)


def _asked(request: HttpRequest, form: StartForm, kind: str, status: int = 200) -> HttpResponse:
    """The questions of a kind beside its picture."""
    title, about = KINDS[cast(StarterKind, kind)]
    usual = StartForm({"kind": kind, "units": rules_now().first, "title": title})
    tried = form if form.is_bound and form.is_valid() else usual
    seen = look(tried.text, "picture") if tried.is_valid() else None
    context = {"form": form, "kind": kind, "title": title, "about": about, "look": seen}
    return render(request, "rigs/edit_start.html", context, status=status)


def _made(request: HttpRequest) -> HttpResponse:
    form = StartForm(request.POST)
    kind = request.POST.get("kind", "")
    if kind not in STARTER_KINDS:
        return render(request, "rigs/edit_kinds.html", {"kinds": KINDS.items()}, status=422)
    if not form.is_valid():
        return _asked(request, form, kind, 422)
    name = form.cleaned_data["name"] or name_of(form.cleaned_data["title"])
    try:
        rig = begin(
            name,
            form.text,
            signed_in(request),
            note=form.cleaned_data["note"],
            key=form.cleaned_data["key"],
        )
    except NameTakenError as error:
        form.add_error("name", f"A rig is called {name} already. {error.free} is free.")
        return _asked(request, form, kind, 422)
    except SaveError as error:
        form.add_error(None, str(error))
        return _asked(request, form, kind, 422)
    messages.success(request, f"{rig} is begun. Change what is different; every save is kept.")
    return redirect("rigs:edit", rig.slug)


@require_safe
@may("edit rigs")
def start_look(request: HttpRequest) -> HttpResponse:
    """The picture that follows from the answers so far."""
    form = StartForm(request.GET)
    seen = look(form.text, "picture") if form.is_valid() else None
    return render(request, "rigs/edit_start_look.html", {"form": form, "look": seen})


@require_safe
@may("edit rigs")
def start_picture(request: HttpRequest, kind: str) -> HttpResponse:
    """The picture of what a kind starts as."""
    if kind not in STARTER_KINDS:
        raise Http404
    response = HttpResponse(picture_of(kind), content_type="image/svg+xml")
    response["Cache-Control"] = "private, max-age=86400"
    return response
