"""One procedure opened: its storyboard to step through, and its proof as a table."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.pages.keeping import HEADER
from ropewright.web.procedures.opening import opened
from ropewright.web.procedures.storyboard import scenes_of

__all__ = ["proof", "storyboard"]


@require_safe
@may("see procedures")
@gzip_page
def storyboard(request: HttpRequest, procedure: str) -> HttpResponse:
    """Every step with its picture; `?step=7` leads to that step."""
    step = request.GET.get("step", "")
    if step.isdecimal() and len(step) < 5:
        query = request.GET.copy()
        del query["step"]
        rest = f"?{query.urlencode()}" if query else ""
        return redirect(f"{request.path}{rest}#{int(step)}")
    found = opened(request, procedure)
    row = found.result("procedure")
    context: dict[str, Any] = {**found.context("storyboard"), "row": row}
    if row.is_done and "faults" not in row.data:
        drawn = found.result("procedure-pictures")
        context |= {"drawn": drawn, "scenes": scenes_of(row.data, drawn.data if drawn.is_done else {})}
    response = render(request, "procedures/storyboard.html", context)
    if (
        "drawn" in context and context["drawn"].is_done
    ):  # a page that waits for its pictures is not worth keeping
        response[HEADER] = "1"
    return response


@require_safe
@may("see procedures")
def proof(request: HttpRequest, procedure: str) -> HttpResponse:
    """Every step in a row: chains asked and held, the verdict and its reason."""
    found = opened(request, procedure)
    return render(
        request, "procedures/proof.html", {**found.context("proof"), "row": found.result("procedure")}
    )
