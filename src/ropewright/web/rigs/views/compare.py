"""Two or three rigs side by side."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.comparing import MOST, MassError, column_of, differences_of, mass_asked
from ropewright.web.rigs.models import Rig

__all__ = ["compare"]


@require_safe
@may("see rigs")
def compare(request: HttpRequest) -> HttpResponse:
    """The rigs that the address names, each `rig=NAME`; without two of them, the form alone."""
    asked = list(dict.fromkeys(name for name in request.GET.getlist("rig") if name))[:MOST]
    named = {rig.slug: rig for rig in Rig.objects.filter(slug__in=[name[:80] for name in asked])}
    word, wrong = request.GET.get("mass", "")[:40], ""
    try:
        mass = mass_asked(word)
        columns = [column_of(named[name], mass) for name in asked if name in named]
    except MassError as error:
        wrong = str(error)
        columns = [column_of(named[name]) for name in asked if name in named]
    every = Rig.objects.filter(put_away=None).values_list("slug", "title")
    chosen = [asked[k] if k < len(asked) else "" for k in range(MOST)]
    missing = [name for name in asked if name not in named]
    context = {
        "columns": columns if len(columns) > 1 else [],
        "alone": columns[0].rig if len(columns) == 1 else None,
        "differences": differences_of(columns),
        "every": every,
        "chosen": chosen,
        "missing": missing,
        "mass": word,
        "mass_wrong": wrong,
        "policy": rules_now(),
    }
    return render(request, "rigs/compare.html", context)
