"""The use log: a line for one item or many, and corrections."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from ropewright.web.access import may, signed_in
from ropewright.web.gear.chosen import chosen, keys
from ropewright.web.gear.forms_use import CorrectionForm, UseForm
from ropewright.web.gear.models import Issue, Item, Use
from ropewright.web.gear.refusals import GearError
from ropewright.web.gear.uses import UseLine, correct, log

__all__ = ["add_use", "correct_use"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("log use")
def add_use(request: HttpRequest) -> HttpResponse:
    """A line for every item that the address names, a whole kit or an issue included."""
    issue = Issue.objects.filter(pk__in=keys(request.GET, "issue")).first()
    offered = list(chosen(request.GET, retired=issue is not None))
    posted = request.method == "POST"
    sent = set(keys(request.POST, "item"))
    held = (Item.State.QUARANTINED, Item.State.RETIRED)  # ticked by whoever knows that it was used
    items = [x for x in offered if (x.pk in sent if posted else issue or x.state not in held)]
    initial = {"what": issue.what, "day": timezone.localdate(issue.given)} if issue else {}
    form = UseForm(request.POST if posted else None, initial=initial)
    if posted and form.is_valid():
        if not items:
            form.add_error(None, "no item is ticked; tick what was used")
        else:
            try:
                log([item.pk for item in items], form.line, signed_in(request), issue=issue)
            except GearError as error:
                form.refuse(error)
            else:
                messages.success(request, f"The use is in the log of {_many(len(items))}.")
                _warn(request, form.line)
                if issue:
                    return redirect("gear:issue", issue=issue.pk)
                return redirect("gear:item", item=items[0].pk)
    context = {"form": form, "offered": offered, "ticked": {item.pk for item in items}, "issue": issue}
    return render(request, "gear/use.html", context, status=422 if form.errors else 200)


def _many(count: int) -> str:
    return "1 item" if count == 1 else f"{count} items"


def _warn(request: HttpRequest, line: UseLine) -> None:
    if line.heat or line.chemical:
        messages.warning(
            request,
            "Heat and chemicals put textiles in doubt: quarantine what may be harmed until it is inspected.",
        )


@require_http_methods(["GET", "HEAD", "POST"])
@may("log use")
def correct_use(request: HttpRequest, use: int) -> HttpResponse:
    """A new line instead of a wrong one, which stays."""
    old = get_object_or_404(Use.objects.select_related("item"), pk=use)
    initial = {name: getattr(old, name) for name in UseLine.__slots__}
    form = CorrectionForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            correct(old, form.line, form.cleaned_data["why"], signed_in(request))
        except GearError as error:
            form.refuse(error)
        else:
            messages.success(request, "The new line counts; the old one stays to be read.")
            return redirect("gear:item", item=old.item_id)
    context = {"form": form, "old": old, "item": old.item}
    return render(request, "gear/use_correct.html", context, status=422 if form.errors else 200)
