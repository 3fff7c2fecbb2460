"""A rig as a file: its card, its picture, its text; taking one in, and putting one away."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.errors import RopewrightError
from ropewright.sheets import Paper
from ropewright.web.access import may, signed_in
from ropewright.web.pages.keeping import kept_offline
from ropewright.web.rigs.forms import AS_NEW, AS_VERSION, TakeInForm
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.names import free_name
from ropewright.web.rigs.papers import card_pdf, picture_of
from ropewright.web.rigs.saving import NameTakenError, SaveError, begin, save
from ropewright.web.rigs.taking_in import Read, name_in_file, read_in
from ropewright.web.rigs.views.saving import kept
from ropewright.web.versions import away
from ropewright.web.versions.saving import note_of_file, sentence
from ropewright.web.workings.engine import summary_of

__all__ = ["bring_back", "card_paper", "picture", "put_away", "text", "upload"]


@kept_offline
@require_safe
@may("see rigs")
def card_paper(request: HttpRequest, rig: str) -> HttpResponse:
    """The rig card, for the post at the station."""
    found = get_object_or_404(Rig, slug=rig)
    paper: Paper = "us-letter" if request.GET.get("paper") == "us-letter" else "a4"
    try:
        pdf = card_pdf(found, found.current, paper)
    except RopewrightError as error:
        return _not_made(request, found, "card", error)
    return _file(pdf, "application/pdf", f"{found.slug}.pdf")


@require_safe
@may("see rigs")
def picture(request: HttpRequest, rig: str, ending: str) -> HttpResponse:
    """The picture as it is drawn on the rig's page."""
    found = get_object_or_404(Rig, slug=rig)
    worked = summary_of(found.current.text)
    if ending not in ("svg", "png") or "faults" in worked:
        raise Http404
    if ending == "svg":
        return _file(worked["svg"].encode(), "image/svg+xml", f"{found.slug}.svg")
    try:
        png = picture_of(found.current.text, worked["svg"])
        return _file(png, "image/png", f"{found.slug}.png")
    except RopewrightError as error:
        return _not_made(request, found, "picture", error)


@require_safe
@may("see rigs")
def text(request: HttpRequest, rig: str) -> HttpResponse:
    """The rig file itself."""
    found = get_object_or_404(Rig, slug=rig)
    return _file(found.current.text.encode(), "text/yaml; charset=utf-8", found.file_name)


def _file(data: bytes, kind: str, name: str) -> HttpResponse:
    return HttpResponse(
        data, content_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


def _not_made(request: HttpRequest, rig: Rig, what: str, error: RopewrightError) -> HttpResponse:
    messages.error(request, f"The {what} was not made: {error}")
    return redirect("rigs:open", rig.slug)


@require_http_methods(["GET", "HEAD", "POST"])
@may("edit rigs")
def upload(request: HttpRequest) -> HttpResponse:
    """Take in a rig file. Faults are told with their lines; where its name is taken, it asks."""
    if request.method != "POST":
        return render(request, "rigs/upload.html", {"form": TakeInForm()})
    form = TakeInForm(request.POST, request.FILES)
    if not form.is_valid():
        taken = Rig.objects.filter(slug=name_in_file(form.data.get("file_name", ""), "")).first()
        asked = taken if form.data.get("keep_as") else None
        return render(request, "rigs/upload.html", {"form": form, "taken": asked}, status=422)
    read, sent = read_in(form.source), form.sent_name
    if read.faults:
        return _again(request, form, read, sent, {"faults": _quoted(read)})
    name = name_in_file(sent, read.title)
    taken = Rig.objects.filter(slug=name).first()
    if taken is not None and not form.cleaned_data["keep_as"]:
        return _again(request, form, read, sent, {"taken": taken})
    try:
        return _save(request, form, read, sent, name, taken)
    except SaveError as error:
        form.add_error(None, sentence(error))
        return render(request, "rigs/upload.html", {"form": form, "taken": taken}, status=422)


def _quoted(read: Read) -> list[dict[str, Any]]:
    rows = read.text.splitlines()
    return [
        {
            "line": fault.line,
            "column": fault.column,
            "text": fault.text,
            "quote": rows[fault.line - 1].strip() if 0 < fault.line <= len(rows) else "",
        }
        for fault in read.faults
    ]


def _again(
    request: HttpRequest, form: TakeInForm, read: Read, sent: str, context: dict[str, Any]
) -> HttpResponse:
    """The form once more, with the text in it and what has to be settled."""
    taken = context.get("taken")
    first = {"text": read.text, "file_name": sent, "keep_as": AS_VERSION}
    if taken is not None:
        first |= {"base": taken.latest, "name": free_name(taken.slug)}
    return render(request, "rigs/upload.html", {"form": TakeInForm(initial=first), **context}, status=422)


def _save(
    request: HttpRequest, form: TakeInForm, read: Read, sent: str, name: str, taken: Rig | None
) -> HttpResponse:
    author, note = signed_in(request), note_of_file(sent)
    if taken is not None and form.cleaned_data["keep_as"] == AS_VERSION:
        base = form.cleaned_data["base"]
        saved = save(taken, read.text, author, base=taken.latest if base is None else base, note=note)
        return kept(request, taken, saved, f"Saved as version {saved.version.number}.")
    if form.cleaned_data["keep_as"] == AS_NEW:
        name = form.cleaned_data["name"] or free_name(name)
    try:
        new = begin(name, read.text, author, note=note)
    except NameTakenError:  # between question and answer: ask again
        return _again(request, form, read, sent, {"taken": Rig.objects.get(slug=name)})
    messages.success(request, f"Taken in as {new.file_name}.")
    return redirect("rigs:open", new.slug)


@require_POST
@may("edit rigs")
def put_away(request: HttpRequest, rig: str) -> HttpResponse:
    """Take a rig out of the library. It is kept, with all its versions."""
    return away.put_away(request, get_object_or_404(Rig, slug=rig), "rigs:library")


@require_POST
@may("edit rigs")
def bring_back(request: HttpRequest, rig: str) -> HttpResponse:
    """Bring a rig back into the library."""
    return away.bring_back(request, get_object_or_404(Rig, slug=rig), "rigs:open")
