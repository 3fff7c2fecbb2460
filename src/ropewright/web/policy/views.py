"""The team's rules."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.policy.now import rules_now

__all__ = ["current"]


@require_safe
@may("see policy")
def current(request: HttpRequest) -> HttpResponse:
    """The rules in force, each with its source."""
    return render(request, "policy/current.html", {"rules": rules_now()})
