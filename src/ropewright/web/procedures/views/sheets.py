"""The sheets of a procedure to print: briefing, storyboard, skill sheet, pre-load check and reset list."""

from __future__ import annotations

from base64 import b64decode
from http import HTTPStatus

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import add_never_cache_headers
from django.views.decorators.http import require_safe

from ropewright.sheets.procedure_sheets import SHEETS
from ropewright.web.access import may
from ropewright.web.pages.keeping import kept_offline
from ropewright.web.procedures.opening import Opened, opened
from ropewright.web.workings.models import Working

__all__ = ["PAPERS", "WORDS", "sheet", "sheets", "waits"]

PAPERS = {"a4": "a4", "letter": "us-letter"}
WORDS = {
    "brief": ("Briefing", "Who, with what, what is called, every step, what stops it."),
    "storyboard": ("Storyboard", "A picture of each changed state, who is held by what."),
    "skill-sheet": ("Skill sheet", "What a candidate is marked by, critical steps with what fails them."),
    "check": (
        "Pre-load check and reset list",
        "What a second person touches before anybody is on it, and what is put back between two turns.",
    ),
}


@require_safe
@may("see procedures")
def sheets(request: HttpRequest, procedure: str) -> HttpResponse:
    """What can be printed, on which paper."""
    found = opened(request, procedure)
    context = {
        **found.context("sheets"),
        "row": found.result("procedure"),
        "sheets": [(key, *WORDS[key]) for key in SHEETS],
        "papers": (("a4", "A4"), ("letter", "US letter")),
    }
    return render(request, "procedures/sheets.html", context)


@kept_offline
@require_safe
@may("see procedures")
def sheet(request: HttpRequest, procedure: str, sheet: str, paper: str) -> HttpResponse:
    """One sheet as PDF and nothing else: until it is set this leads to the page that waits for it."""
    found, row = _asked(request, procedure, sheet, paper)
    if not _is_set(row):
        return _leads_to("sheet-waits", request, procedure, sheet, paper)
    response = HttpResponse(b64decode(row.data["pdf"]), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{found.procedure.slug}.{sheet}.pdf"'
    return response


@require_safe
@may("see procedures")
def waits(request: HttpRequest, procedure: str, sheet: str, paper: str) -> HttpResponse:
    """How far a sheet is; leads on to the PDF by itself once that is set. What can't be set is told."""
    found, row = _asked(request, procedure, sheet, paper)
    if _is_set(row):
        return _leads_to("sheet", request, procedure, sheet, paper)
    context = {**found.context("sheets"), "row": row, "title": WORDS[sheet][0]}
    waiting = not row.is_done and not row.has_failed
    return render(request, "procedures/sheet.html", context, status=HTTPStatus.ACCEPTED if waiting else None)


def _asked(request: HttpRequest, procedure: str, sheet: str, paper: str) -> tuple[Opened, Working]:
    if sheet not in SHEETS or paper not in PAPERS:
        raise Http404("no such sheet")
    found = opened(request, procedure)
    return found, found.result("procedure-sheets", file=found.source.file, sheet=sheet, paper=PAPERS[paper])


def _is_set(row: Working) -> bool:
    return row.is_done and "pdf" in row.data


def _leads_to(name: str, request: HttpRequest, procedure: str, sheet: str, paper: str) -> HttpResponse:
    """To the other address of a sheet, of the same version; never remembered by a browser."""
    query = f"?{request.GET.urlencode()}" if request.GET else ""
    response = HttpResponseRedirect(reverse(f"procedures:{name}", args=[procedure, sheet, paper]) + query)
    response.status_code = HTTPStatus.SEE_OTHER
    add_never_cache_headers(response)
    return response
