"""Beginning a procedure: on a rig of the library, or from a file that somebody has."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from ropewright.procedure.starting import first_text
from ropewright.web.access import may, signed_in
from ropewright.web.procedures.forms import StartForm, TakeInForm, sent
from ropewright.web.procedures.keeping import begin, save
from ropewright.web.procedures.models import Procedure
from ropewright.web.procedures.source import RIG_ENDING
from ropewright.web.procedures.views.editor import DESK
from ropewright.web.versions.desk import onwards
from ropewright.web.versions.saving import SaveError, sentence

__all__ = ["start", "upload"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("edit procedures")
def start(request: HttpRequest) -> HttpResponse:
    """Begin a procedure on a rig: a first text, opened to write on."""
    form = StartForm(sent(request), initial={"rig": request.GET.get("rig")})
    if request.method == "POST" and form.is_valid() and form.read is not None:
        rig_file = f"{form.cleaned_data['rig']}{RIG_ENDING}"
        text = first_text(form.cleaned_data["title"], form.read, rig_file)
        made = begin(text, signed_in(request), note=f"begun on {rig_file}"[:200])
        return redirect("procedures:edit", procedure=made.slug)
    status = 422 if request.method == "POST" else 200
    return render(request, "procedures/start.html", {"form": form}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@may("edit procedures")
def upload(request: HttpRequest) -> HttpResponse:
    """Take in a procedure file, as a procedure of its own or as the next version of one."""
    form = TakeInForm(sent(request), request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            return _taken_in(request, form)
        except SaveError as error:
            form.add_error(None, sentence(error))
    status = 422 if request.method == "POST" else 200
    return render(request, "procedures/upload.html", {"form": form}, status=status)


def _taken_in(request: HttpRequest, form: TakeInForm) -> HttpResponse:
    text, note, into = form.text, form.note, form.cleaned_data["into"]
    if not into:
        made = begin(text, signed_in(request), note=note)
        messages.success(request, f"Taken in as {made.file_name}.")
        return redirect("procedures:open", procedure=made.slug)
    found = get_object_or_404(Procedure, slug=into)
    saved = save(found, text, signed_in(request), base=found.latest, note=note)
    return onwards(request, DESK, found, saved)
