"""Events: reported with the list of what is quarantined before it is done, and shown afterwards."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from ropewright.web.access import may, signed_in
from ropewright.web.gear.chosen import keys
from ropewright.web.gear.events import Happened, involved, outcomes, report
from ropewright.web.gear.forms_event import EventForm
from ropewright.web.gear.models import Event, Issue
from ropewright.web.gear.refusals import GearError

__all__ = ["event_page", "events", "new_event"]


@require_safe
@may("see gear")
def events(request: HttpRequest) -> HttpResponse:
    """Every event, newest first."""
    found = Event.objects.select_related("issue", "reported_by__person").annotate(count=Count("lines"))
    found = found.order_by("-reported", "-pk")
    page = Paginator(found, 25).get_page(request.GET.get("page"))
    return render(request, "gear/events.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
@may("report an event")
def new_event(request: HttpRequest) -> HttpResponse:
    """Report an event of a use, or of chosen items; the page lists what it will quarantine."""
    issue = Issue.objects.filter(pk__in=keys(request.GET, "issue")).first()
    items = involved(issue, keys(request.GET, "item"))
    if not items:
        recent = Issue.objects.select_related("taken_by").annotate(count=Count("lines"))
        recent = recent.order_by("-given")[:20]
        status = 422 if request.method == "POST" else 200
        return render(request, "gear/event_choose.html", {"recent": recent}, status=status)
    form = EventForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        cleaned = form.cleaned_data
        happened = Happened(cleaned["kind"], cleaned["day"], cleaned["text"])
        try:
            event = report(happened, signed_in(request), issue=issue, chosen=keys(request.GET, "item"))
        except GearError as error:
            form.refuse(error)
        else:
            messages.success(request, "The event is on record and its gear is quarantined.")
            return redirect("gear:event", event=event.pk)
    left = [item for item in items if item.state != "retired"]
    context = {
        "form": form,
        "issue": issue,
        "items": left,
        "count": len(left),
        "retired": [item for item in items if item.state == "retired"],
    }
    return render(request, "gear/event_new.html", context, status=422 if form.errors else 200)


@require_safe
@may("see gear")
def event_page(request: HttpRequest, event: int) -> HttpResponse:
    """An event with every item that was there, and what became of each."""
    found = get_object_or_404(Event.objects.select_related("issue", "reported_by__person"), pk=event)
    lines = outcomes(found)
    held = sum(x.item.state == "quarantined" for x in lines)
    return render(request, "gear/event.html", {"event": found, "lines": lines, "held": held})
