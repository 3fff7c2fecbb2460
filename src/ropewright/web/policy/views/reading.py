"""Reading the rules: those in force, every version, and what differs."""

from __future__ import annotations

from itertools import groupby

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import TeamRules, before_any, rules_now, rules_of
from ropewright.web.policy.telling import Line, differences, lines

__all__ = ["current", "version", "versions"]

_A_PAGE = 50


@require_safe
@may("see policy")
def current(request: HttpRequest) -> HttpResponse:
    """The rules in force, each with its source."""
    rules = rules_now()
    context = {
        "rules": rules,
        "saved": PolicyVersion.objects.select_related("author__person").filter(number=rules.number).first(),
        "groups": _grouped(rules),
    }
    return render(request, "policy/current.html", context)


@require_safe
@may("see policy")
def versions(request: HttpRequest) -> HttpResponse:
    """Every version, the newest first."""
    found = PolicyVersion.objects.select_related("author__person").defer("rules", "words", "intervals")
    page = Paginator(found, _A_PAGE).get_page(request.GET.get("page"))
    return render(request, "policy/versions.html", {"page": page, "now": rules_now().number})


@require_safe
@may("see policy")
def version(request: HttpRequest, policy: int) -> HttpResponse:
    """One version, and what differs from the one before it or from another that is asked for."""
    found = get_object_or_404(PolicyVersion.objects.select_related("author__person"), number=policy)
    against = _against(request, policy)
    other = PolicyVersion.objects.filter(number=against).first() if against else None
    before = rules_of(other) if other else before_any()
    rules, units = rules_of(found), rules_now().units
    context = {
        "saved": found,
        "rules": rules,
        "groups": _grouped(rules),
        "against": other,
        "differences": differences(before, rules, units),
        "numbers": PolicyVersion.objects.exclude(number=policy).values_list("number", flat=True)[:200],
        "now": rules_now().number,
    }
    return render(request, "policy/version.html", context)


def _against(request: HttpRequest, number: int) -> int:
    """The number of the version that is compared with: as asked, otherwise the one before."""
    asked = request.GET.get("against", "")
    return int(asked[:9]) if asked.isascii() and asked.isdecimal() else number - 1


def _grouped(rules: TeamRules) -> list[tuple[str, list[Line], bool]]:
    """The lines of a version under their headings, and whether any of them names a source."""
    told = lines(rules, rules_now().units)
    groups = [(group, list(found)) for group, found in groupby(told, key=lambda line: line.group)]
    return [(group, found, any(line.source for line in found)) for group, found in groups]
