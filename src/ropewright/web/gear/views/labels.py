"""Labels to print."""

from __future__ import annotations

from collections.abc import Sequence

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.environment import LOOPBACK
from ropewright.web.gear.chosen import chosen
from ropewright.web.gear.labels import PAPERS, SIZES, labels_pdf
from ropewright.web.gear.models import Item, Kit
from ropewright.web.policy.now import rules_now

__all__ = ["labels", "labels_file"]


class _LabelForm(forms.Form):
    """How labels are printed."""

    size = forms.ChoiceField(label="Size", choices=[(key, size.words) for key, size in SIZES.items()])
    paper = forms.ChoiceField(label="Paper", choices=list(PAPERS.items()))


@require_safe
@may("keep gear")
def labels(request: HttpRequest) -> HttpResponse:
    """Choose size and paper for the labels of the chosen items."""
    us = rules_now().first == "us"
    form = _LabelForm(initial={"size": "medium", "paper": "us-letter" if us else "a4"})
    items = list(chosen(request.GET))
    return _page(request, form, items)


def _page(
    request: HttpRequest, form: forms.Form, items: Sequence[Item], *, status: int = 200
) -> HttpResponse:
    """The choice of size and paper; it warns where no phone could follow the signs."""
    context = {
        "form": form,
        "items": items,
        "count": len(items),
        "kits": Kit.objects.all(),
        "only_here": request.get_host().startswith(LOOPBACK),
    }
    return render(request, "gear/labels.html", context, status=status)


@require_safe
@may("keep gear")
def labels_file(request: HttpRequest) -> HttpResponse:
    """The labels as PDF; their signs lead to the host that this request came to."""
    items = list(chosen(request.GET))
    form = _LabelForm(request.GET)
    if not items or not form.is_valid():
        return _page(request, form, items, status=422)
    pdf = labels_pdf(
        items,
        lambda item: request.build_absolute_uri(reverse("gear:item", kwargs={"item": item.pk})),
        rules_now().team,
        SIZES[form.cleaned_data["size"]],
        form.cleaned_data["paper"],
    )
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="labels.pdf"'
    return response
