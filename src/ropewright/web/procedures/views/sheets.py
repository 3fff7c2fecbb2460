"""The sheets of a procedure to print: briefing, storyboard, skill sheet, pre-load check and reset list."""

from __future__ import annotations

from base64 import b64decode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ropewright.sheets.procedure_sheets import SHEETS
from ropewright.web.access import may
from ropewright.web.pages.keeping import kept_offline
from ropewright.web.procedures.opening import opened

__all__ = ["PAPERS", "WORDS", "sheet", "sheets"]

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
    """One sheet as PDF; a page that waits until it is set."""
    if sheet not in SHEETS or paper not in PAPERS:
        raise Http404("no such sheet")
    found = opened(request, procedure)
    row = found.result("procedure-sheets", file=found.source.file, sheet=sheet, paper=PAPERS[paper])
    if row.is_done and "pdf" in row.data:
        response = HttpResponse(b64decode(row.data["pdf"]), content_type="application/pdf")
        response["Content-Disposition"] = f'inline; filename="{procedure}.{sheet}.pdf"'
        return response
    context = {**found.context("sheets"), "row": row, "title": WORDS[sheet][0]}
    return render(request, "procedures/sheet.html", context)
