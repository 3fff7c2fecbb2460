"""Taking an item out of use."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from ropewright.web.access import may, signed_in
from ropewright.web.accounts.models import Account
from ropewright.web.gear import states
from ropewright.web.gear.forms import ReasonForm
from ropewright.web.gear.models import Item
from ropewright.web.gear.refusals import GearError

__all__ = ["quarantine", "retire"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("report an event")
def quarantine(request: HttpRequest, item: int) -> HttpResponse:
    """Take an item out of use until an inspection clears it: whoever doubts it may."""
    words = {
        "heading": "Quarantine",
        "about": "It is offered for nothing until a competent person has inspected it and found it fit.",
        "button": "Quarantine it",
    }
    return _out_of_use(request, item, states.quarantine, words)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep gear")
def retire(request: HttpRequest, item: int) -> HttpResponse:
    """Take an item out of use for good."""
    words = {
        "heading": "Retire",
        "about": "This is final; its record stays. Destroy the item, so that nobody uses it again.",
        "button": "Retire it for good",
    }
    return _out_of_use(request, item, states.retire, words)


def _out_of_use(
    request: HttpRequest, key: int, act: Callable[[int, str, Account], Item], words: dict[str, str]
) -> HttpResponse:
    item = get_object_or_404(Item, pk=key)
    form = ReasonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            item = act(item.pk, form.cleaned_data["reason"], signed_in(request))
        except GearError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{item.mark} is {item.shown_state}.")
            return redirect("gear:item", item=item.pk)
    context = {"form": form, "item": item, **words}
    return render(request, "gear/out_of_use.html", context, status=422 if form.errors else 200)
