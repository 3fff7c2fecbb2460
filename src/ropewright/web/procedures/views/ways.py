"""Finding a way between two rigs: what is asked, how far it is, what was found, and keeping that."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.web.access import may, signed_in
from ropewright.web.procedures.forms import FindForm, TitleForm, sent
from ropewright.web.procedures.keeping import begin, titled
from ropewright.web.procedures.storyboard import scenes_of
from ropewright.web.procedures.ways import ask_way, named_gear, refused_by_step, source_of_way
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.background import ask, look
from ropewright.web.workings.models import Working

__all__ = ["keep", "search", "way"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("edit procedures")
def search(request: HttpRequest) -> HttpResponse:
    """Choose two rigs, and what may be used besides."""
    form = FindForm(sent(request), initial={"start": request.GET.get("from"), "goal": request.GET.get("to")})
    if request.method == "POST":
        if form.is_valid() and form.read is not None:
            rigs = Rig.objects.in_bulk(
                [form.cleaned_data["start"], form.cleaned_data["goal"]], field_name="slug"
            )
            start, goal = rigs[form.cleaned_data["start"]], rigs[form.cleaned_data["goal"]]
            row = ask_way(start, goal, named_gear(form.types, *form.read), int(form.cleaned_data["seconds"]))
            return redirect("procedures:way", key=row.key)
        return render(request, "procedures/find.html", {"form": form}, status=422)
    return render(request, "procedures/find.html", {"form": form})


@require_safe
@may("see procedures")
@gzip_page
def way(request: HttpRequest, key: str) -> HttpResponse:
    """What was found, as a storyboard; or what would help."""
    row = look(get_object_or_404(Working, key=key, kind="way"))
    return render(request, "procedures/way.html", _context(row, TitleForm()))


def _context(row: Working, form: TitleForm) -> dict[str, Any]:
    context: dict[str, Any] = {"row": row, "form": form}
    if not row.is_done:
        return context
    told = row.data
    names = Rig.objects.in_bulk([told["start"], told["goal"]], field_name="slug")
    context |= {"start": names.get(told["start"]), "goal": names.get(told["goal"])}
    context |= {"refused": refused_by_step(told), "count": len(told["steps"])}
    if told["text"]:
        source = source_of_way(told)
        proof = ask("procedure", source.parts, source.asked)
        context["proof"] = proof
        if proof.is_done and "faults" not in proof.data:
            drawn = ask("procedure-pictures", source.parts, source.asked)
            scenes = scenes_of(proof.data, drawn.data if drawn.is_done else {})
            context |= {"drawn": drawn, "scenes": scenes}
    return context


@require_POST
@may("edit procedures")
def keep(request: HttpRequest, key: str) -> HttpResponse:
    """Make a procedure of the way that was found."""
    row = get_object_or_404(Working, key=key, kind="way", state=Working.State.DONE)
    form = TitleForm(request.POST)
    if not row.data["text"]:
        form.add_error(None, "No way was found here, so there is nothing to keep.")
    if not form.is_valid():
        return render(request, "procedures/way.html", _context(row, form), status=422)
    made = begin(
        titled(row.data["text"], form.cleaned_data["title"]), signed_in(request), note="a way that was found"
    )
    messages.success(request, "The way that was found is a procedure now.")
    return redirect("procedures:open", procedure=made.slug)
