"""The mistakes that people make in a procedure, what comes of each, and the picture of that."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from ropewright.procedure.mistakes import CONSEQUENCES
from ropewright.web.access import may
from ropewright.web.procedures.missteps import MEANINGS, gravest_first
from ropewright.web.procedures.opening import opened

__all__ = ["mistake", "mistakes"]

GRAVE = ("falls", "runs", "outside policy")


@require_safe
@may("see procedures")
def mistakes(request: HttpRequest, procedure: str) -> HttpResponse:
    """All of them, the gravest first; critical steps; where a check is missing."""
    found = opened(request, procedure)
    row = found.result("procedure-mistakes")
    context: dict[str, Any] = {**found.context("mistakes"), "row": row}
    if row.is_done and "faults" not in row.data:
        every = gravest_first(row.data)
        context |= {
            "grave": [m for m in every if m["grave"]],
            "lighter": [m for m in every if not m["grave"] and m["consequence"] != "nothing"],
            "nothing": [m for m in every if m["consequence"] == "nothing"],
            "counts": [
                (name, MEANINGS[name], sum(m["consequence"] == name for m in every))
                for name in reversed(CONSEQUENCES)
            ],
        }
    return render(request, "procedures/mistakes.html", context)


@require_safe
@may("see procedures")
@gzip_page
def mistake(request: HttpRequest, procedure: str, number: int) -> HttpResponse:
    """One mistake: the steps as they are then done, and the moment before and after it shows."""
    found = opened(request, procedure)
    row = found.result("procedure-mistakes")
    context: dict[str, Any] = {**found.context("mistakes"), "row": row}
    if row.is_done and "faults" not in row.data:
        if number >= len(row.data["mistakes"]):
            raise Http404("no such mistake")
        made = row.data["mistakes"][number]
        shown = found.result("procedure-mistake", mistake=number)
        context |= {"mistake": made, "meaning": MEANINGS[made["consequence"]], "shown": shown}
    return render(request, "procedures/mistake.html", context)
