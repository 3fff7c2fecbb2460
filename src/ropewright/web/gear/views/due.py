"""The due list, and the calendar that says the same."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.web.access import may, open_to_all, signed_in
from ropewright.web.gear import calendar
from ropewright.web.gear.due_list import due_list, upcoming
from ropewright.web.gear.fields import PlainForm
from ropewright.web.policy.now import rules_now

__all__ = ["calendar_addresses", "calendar_feed", "due", "revoke_address"]


@require_safe
@may("see gear")
def due(request: HttpRequest) -> HttpResponse:
    """What is overdue, due soon, never inspected, or quarantined."""
    today = timezone.localdate()
    parts = due_list(today, None) if "every" in request.GET else due_list(today)
    context = {"parts": parts, "today": today, "left": sum(part.left for part in parts)}
    return render(request, "gear/due.html", context)


class _NameForm(PlainForm):
    """What a calendar address is for."""

    name = forms.CharField(max_length=40, label="Which program reads it", help_text="such as: phone")


@require_http_methods(["GET", "HEAD", "POST"])
@may("see gear")
def calendar_addresses(request: HttpRequest) -> HttpResponse:
    """Somebody's own calendar addresses; a new one is shown once."""
    account = signed_in(request)
    form = _NameForm(request.POST or None)
    address = ""
    if request.method == "POST" and form.is_valid():
        secret = calendar.new_secret(account, form.cleaned_data["name"])
        address = request.build_absolute_uri(reverse("gear:calendar-feed", kwargs={"secret": secret}))
        form = _NameForm()
    context = {"form": form, "address": address, "tokens": calendar.addresses_of(account)}
    response = render(request, "gear/calendar.html", context, status=422 if form.errors else 200)
    response["Cache-Control"] = "no-store"
    return response


@require_POST
@may("see gear")
def revoke_address(request: HttpRequest, token: int) -> HttpResponse:
    """Stop one of somebody's own addresses from working."""
    if not calendar.revoke(signed_in(request), token):
        raise Http404
    messages.success(request, "That address no longer works.")
    return redirect("gear:calendar")


@open_to_all
@require_safe
def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The due list for a calendar program, to whoever has a secret that works."""
    if calendar.account_of(secret) is None:
        raise Http404
    page = request.build_absolute_uri(reverse("gear:due"))
    body = calendar.feed(upcoming(), rules_now().team, page, request.get_host().partition(":")[0])
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="gear-due.ics"'
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "no-referrer"
    return response
