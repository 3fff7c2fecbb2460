"""Inspecting one item or several of a kind, and the page of an inspection."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from ropewright.web.access import allowed, may, signed_in
from ropewright.web.gear.chosen import chosen
from ropewright.web.gear.forms_inspection import InspectionForm
from ropewright.web.gear.inspections import record, record_many
from ropewright.web.gear.intervals import interval_for
from ropewright.web.gear.kinds import checklist_of, checklist_title, kind_of
from ropewright.web.gear.models import Finding, Inspection, Item
from ropewright.web.gear.refusals import GearError
from ropewright.web.gear.states import hold_on

__all__ = ["inspect", "inspection_page"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("log use")
def inspect(request: HttpRequest) -> HttpResponse:
    """Inspect the items that the address names: one, or several of a kind at once."""
    items = list(chosen(request.POST if request.method == "POST" else request.GET))
    lists = {kind_of(item.type).checklist for item in items}
    if len(lists) != 1:
        return _choose(request, items)
    account = signed_in(request)
    form = InspectionForm(
        checklist_of(items[0].type),
        request.POST or None,
        keeper=allowed(account, "keep gear"),
        many=len(items) > 1,
        initial={"inspector": account.shown},
    )
    if request.method == "POST" and form.is_valid():
        opened = form.cleaned_data["opened"]
        try:
            if len(items) == 1:
                made = [record(items[0].pk, form.look, account, opened)]
            else:
                made = record_many([item.pk for item in items], form.look, account, opened)
        except GearError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{len(made)} inspection{'s' if len(made) > 1 else ''} on record.")
            if len(made) == 1:
                return redirect("gear:inspection", inspection=made[0].pk)
            return redirect("gear:due")
    items = list(chosen(request.POST if request.method == "POST" else request.GET))  # as they stand now
    form.open_anew(items)
    context = {
        "form": form,
        "items": items,
        "count": len(items),
        "one": items[0] if len(items) == 1 else None,
        "holds": [(item, hold) for item in items if (hold := hold_on(item))],
        "title": checklist_title(items[0].type),
        "intervals": [(name, interval_for(name)) for name in sorted({item.type for item in items})],
    }
    return render(request, "gear/inspect.html", context, status=422 if form.errors else 200)


def _choose(request: HttpRequest, items: Iterable[Item]) -> HttpResponse:
    """Nothing was chosen, or items that are not looked at alike: offer them list by list."""
    groups: dict[str, list[Item]] = {}
    for item in items:
        groups.setdefault(checklist_title(item.type), []).append(item)
    status = 422 if request.method == "POST" else 200
    return render(request, "gear/inspect_choose.html", {"groups": groups}, status=status)


@require_safe
@may("see gear")
def inspection_page(request: HttpRequest, inspection: int) -> HttpResponse:
    """An inspection with everything that was found."""
    found = get_object_or_404(Inspection.objects.select_related("item", "entered_by__person"), pk=inspection)
    findings = list(found.findings.all())
    context = {
        "inspection": found,
        "item": found.item,
        "findings": findings,
        "not_seen": [f.point for f in findings if f.result == Finding.Result.NOT_SEEN],
    }
    return render(request, "gear/inspection.html", context)
