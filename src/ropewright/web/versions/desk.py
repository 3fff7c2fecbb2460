"""The page on which a file's text is written, and what answers its saves: the same for every room."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse

from ropewright.patience import patience
from ropewright.rig.yamltext import MOST_BYTES
from ropewright.web.access import signed_in
from ropewright.web.versions.diff import changes
from ropewright.web.versions.looking import stage_of
from ropewright.web.versions.models import VersionedFile
from ropewright.web.versions.newest import overtaken_by_a_newer
from ropewright.web.versions.reading import NONE, number_or, version_of
from ropewright.web.versions.saving import LONGEST_NOTE, Saved, SaveError, sentence

LONGEST_LOOK = 4.0
"""Seconds of the processor that one stage of a look may take."""

__all__ = ["Desk", "beside_page", "editor_page", "live_answer", "onwards", "save_text"]


@dataclass(frozen=True, slots=True)
class Desk:
    """Where the texts of a room are written.

    space: the room's addresses (`space:open`, `:edit`, `:save`, `:beside`, `:live`, `:tables`); noun: what a
    file is; other_view: what the text is besides a text; templates: the folder of `edit_verdict.html`,
    `edit_said.html` and `edit_picture.html`; look: what a text comes to; save: keeps one.
    """

    space: str
    noun: str
    other_view: str
    templates: str
    look: Callable[..., Any]
    save: Callable[..., Saved]


def editor_page(
    request: HttpRequest,
    desk: Desk,
    file: VersionedFile,
    text: str,
    base: Any,
    *,
    wrong: str = "",
    note: str = "",
    unsaved: bool = False,
) -> HttpResponse:
    """The page of the editor; ``wrong``: why a save was refused, with the text as it was sent; ``unsaved``:
    the text is another than that of the version that it is written on from.
    """
    mine = file.versions.filter(
        beside=True, author=signed_in(request), number__gt=max(base.number, file.latest)
    )
    context = {
        "desk": desk,
        "names": _names(desk),
        "file": file,
        "text": text,
        "base": base,
        "current": file.latest,
        "drafts": mine.defer("text") if not wrong else (),
        "key": uuid.uuid4().hex,
        "look": desk.look(text) if wrong else None,
        "wrong": wrong,
        "unsaved": unsaved or bool(wrong),
        "note": note,
        "longest": MOST_BYTES,
        "longest_note": LONGEST_NOTE,
        "who": signed_in(request),
    }
    return render(request, "versions/edit.html", context, status=422 if wrong else 200)


def _names(desk: Desk) -> dict[str, str]:
    """The room's addresses and templates by short words, for a template that does not know the room."""
    names = {
        word: f"{desk.space}:{word}"
        for word in ("library", "open", "edit", "save", "beside", "live", "tables")
    }
    return names | {
        f"{word}_html": f"{desk.templates}/edit_{word}.html" for word in ("verdict", "said", "picture")
    }


def live_answer(request: HttpRequest, desk: Desk) -> HttpResponse:
    """What a text comes to, one stage of it, for the editor's script.

    `n` is given back as it came, so that the page can tell the newest answer from older ones.
    """
    stage, names = stage_of(request.POST.get("stage", "")), _names(desk)
    page = request.POST.get("page", "")[:40]
    with patience(LONGEST_LOOK, overtaken_by_a_newer(signed_in(request).pk, page)):
        seen = desk.look(request.POST.get("text", ""), stage)

    def shown(word: str) -> str:
        return render_to_string(names[f"{word}_html"], {"look": seen}, request)

    data = {
        "n": request.POST.get("n", "")[:20],
        "whole": seen.whole,
        "usable": not seen.faults,
        "drawn": not seen.faults and not seen.trouble,
        "lines": sorted(seen.lines.items()),
        "verdict": shown("verdict"),
        "said": shown("said"),
        "picture": shown("picture") if stage == "picture" else None,
    }
    return JsonResponse(data)


def save_text(request: HttpRequest, desk: Desk, file: VersionedFile) -> HttpResponse:
    """Keep a text as a version; the editor's script is answered in JSON, a bare form with a page."""
    scripted = "application/json" in request.headers.get("Accept", "")
    who, given = signed_in(request), request.POST
    if given.get("who") not in (None, "", str(who.pk)):
        told = f"You are signed in as {who.shown} now, and this text was written under another account."
        if scripted:
            return JsonResponse({"outcome": "somebody else", "told": told, "who": who.pk}, status=409)
        return _refused(request, desk, file, told)
    try:
        saved = desk.save(
            file,
            given.get("text", ""),
            who,
            base=number_or(given.get("base", ""), NONE),
            note=given.get("note", ""),
            key=given.get("key", ""),
        )
    except SaveError as error:
        if scripted:
            return JsonResponse({"outcome": "refused", "told": sentence(error)}, status=422)
        return _refused(request, desk, file, sentence(error))
    return JsonResponse(_answer(desk, file, saved)) if scripted else onwards(request, desk, file, saved)


def _answer(desk: Desk, file: VersionedFile, saved: Saved) -> dict[str, Any]:
    return {
        "outcome": saved.outcome,
        "told": saved.told,
        "number": saved.version.number,
        "current": saved.current.number,
        "open": reverse(f"{desk.space}:open", args=[file.slug]),
        "beside": reverse(f"{desk.space}:beside", args=[file.slug, saved.version.number]),
    }


def _refused(request: HttpRequest, desk: Desk, file: VersionedFile, words: str) -> HttpResponse:
    """The editor again, with the text as it was sent."""
    given = request.POST
    base = file.versions.filter(number=number_or(given.get("base", ""), NONE)).first() or file.current
    text, note = given.get("text", ""), given.get("note", "")[:LONGEST_NOTE]
    return editor_page(request, desk, file, text, base, wrong=words, note=note)


def onwards(
    request: HttpRequest, desk: Desk, file: VersionedFile, saved: Saved, done: str = ""
) -> HttpResponse:
    """To where somebody goes on from a save, who is told what came of it: to the page that asks which is to
    count, to the editor where the text can't be used yet, or to the file; ``done``: how a save that counts is
    told, where the page that asked for it has words of its own.
    """
    if saved.outcome == "beside":
        return redirect(f"{desk.space}:beside", file.slug, saved.version.number)
    plainly = saved.outcome == "saved" and not saved.faults
    level = messages.WARNING if saved.faults else messages.SUCCESS
    messages.add_message(request, level, done if done and plainly else saved.told)
    if saved.faults:
        return redirect(f"{reverse(f'{desk.space}:edit', args=[file.slug])}?from={saved.version.number}")
    return redirect(f"{desk.space}:open", file.slug)


def beside_page(request: HttpRequest, desk: Desk, file: VersionedFile, number: int) -> HttpResponse:
    """A version that stands beside the one that counts: what differs, and which is to count."""
    version = version_of(file, number)
    if request.method == "POST":
        return _taken(request, desk, file, version)
    current = file.current
    context = {
        "desk": desk,
        "names": _names(desk),
        "file": file,
        "mine": version,
        "current": current,
        "changes": changes(current.text, version.text),
    }
    return render(request, "versions/beside.html", context)


def _taken(request: HttpRequest, desk: Desk, file: VersionedFile, version: Any) -> HttpResponse:
    """Let a version that stands beside count, as a new version behind the one that was looked at."""
    given = request.POST.get("current", "")
    try:
        saved = desk.save(
            file,
            version.text,
            signed_in(request),
            base=number_or(given, NONE) if given else file.latest,
            note=f"version {version.number}, taken over",
        )
    except SaveError as error:
        messages.error(request, sentence(error))
        return redirect(f"{desk.space}:beside", file.slug, version.number)
    return onwards(request, desk, file, saved)
