"""Plans: can we rig it?"""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.sheets.typesetter import PressError
from ropewright.web.access import may, sees_mass, signed_in
from ropewright.web.gear.forms_issue import FURTHEST
from ropewright.web.gear.refusals import GearError
from ropewright.web.meanwhile import overtaken
from ropewright.web.planning.answer import Answer, answer
from ropewright.web.planning.forms import ExtraForms, IssueForm, LineForms, PlanForm, propose
from ropewright.web.planning.giving import give, seal
from ropewright.web.planning.models import Plan
from ropewright.web.planning.page import page_of, people_of
from ropewright.web.planning.paper import pick_list
from ropewright.web.planning.repairs import repairs_told
from ropewright.web.planning.verdict import against
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.models import Rig

__all__ = ["change", "give_items", "new", "open_plan", "pick_list_page", "pick_list_paper", "plans"]

_MORE_ROWS = 4


@require_safe
@may("see plans")
def plans(request: HttpRequest) -> HttpResponse:
    """Every plan, the latest day first."""
    found = (
        Plan.objects.annotate(rigs=Count("lines")).select_related("made_by__person").order_by("-day", "title")
    )
    page = Paginator(found, 50).get_page(request.GET.get("page"))
    return render(request, "planning/plans.html", {"page": page, "today": timezone.localdate()})


@require_http_methods(["GET", "HEAD", "POST"])
@may("plan")
def new(request: HttpRequest) -> HttpResponse:
    """Make a plan; `?rig=` names the rig that it starts with."""
    plan = Plan(made_by=signed_in(request))
    rig = Rig.objects.filter(slug=request.GET.get("rig", ""), put_away=None).first()
    initial = [{"rig": rig.pk, "count": 1}] if rig else []
    return _edited(request, plan, initial, f"{rig}"[:120] if rig else "")


@require_http_methods(["GET", "HEAD", "POST"])
@may("plan")
def change(request: HttpRequest, plan: int) -> HttpResponse:
    """Change a plan; `?rig-5=2&extra-7=0` fills the form in as a repair has it, and writes nothing."""
    with transaction.atomic():  # whoever saves second sees what the first has kept
        return _edited(request, get_object_or_404(Plan.objects.select_for_update(), pk=plan))


def _edited(
    request: HttpRequest, plan: Plan, rigs: list[dict[str, Any]] | None = None, title: str = ""
) -> HttpResponse:
    data = request.POST.copy() if request.method == "POST" else None
    more = data is not None and "more" in data
    if data is not None and more:
        for prefix in ("lines", "extras"):
            total = data.get(f"{prefix}-TOTAL_FORMS", "0")
            if total.isascii() and total.isdecimal() and len(total) < 4:
                data[f"{prefix}-TOTAL_FORMS"] = str(min(40, int(total) + _MORE_ROWS))
    form = PlanForm(data, instance=plan, initial={"title": title} if title else None)
    lines = LineForms(data, instance=plan, initial=rigs or None, prefix="lines")
    extras = ExtraForms(data, instance=plan, prefix="extras")
    proposed = data is None and propose(request.GET, form, lines.initial_forms, extras.initial_forms)
    valid = data is not None and all([form.is_valid(), lines.is_valid(), extras.is_valid()])
    if valid and not more and not overtaken(form, (plan.saves, "somebody"), "plan"):
        with transaction.atomic():
            saved = form.save()
            for rows in (lines, extras):
                rows.instance = saved
                rows.save()
        return redirect("planning:open", plan=saved.pk)
    context: dict[str, Any] = {"form": form, "lines": lines, "extras": extras, "proposed": proposed}
    context["plan"] = plan if plan.pk else None
    refused = data is not None and not more
    return render(request, "planning/edit.html", context, status=422 if refused else 200)


@require_safe
@may("see plans")
def open_plan(request: HttpRequest, plan: int) -> HttpResponse:
    """The answer: the verdict first, then why, what would repair it, and which item goes where."""
    return _opened(request, plan, None)


def _back(plan: Plan) -> date | None:
    """The day on which gear would be wanted back: the plan's own, where gear may be out for so long."""
    return plan.day if (plan.day - timezone.localdate()).days <= FURTHEST else None


def _answered(request: HttpRequest, plan: Plan) -> Answer:
    """The answer at the masses that whoever asks may read."""
    return answer(plan, rules_now(), partial(sees_mass, signed_in(request)))


def _opened(request: HttpRequest, plan: int, form: IssueForm | None) -> HttpResponse:
    found = _answered(request, get_object_or_404(Plan, pk=plan))
    initial = {"shown": seal(found), "until": _back(found.plan)}
    form = form or IssueForm(initial=initial, against=against(found))
    people = people_of(found, rules_now())
    repairs = repairs_told(found, rules_now())
    context = page_of(found, rules_now()) | people | {"form": form, "repairs": repairs}
    return render(request, "planning/open.html", context, status=422 if form.errors else 200)


@require_POST
@may("plan")
def give_items(request: HttpRequest, plan: int) -> HttpResponse:
    """Give the items out that the page showed."""
    found = get_object_or_404(Plan, pk=plan)
    now = _answered(request, found)
    seen = request.POST.get("shown") == seal(now)  # else it is told of what has changed first
    form = IssueForm(request.POST, against=against(now) if seen else "")
    if not form.is_valid():
        return _opened(request, plan, form)
    known = form.cleaned_data
    try:
        made = give(
            found,
            rules_now(),
            signed_in(request),
            known["shown"],
            known["taken_by"],
            known["until"],
            anyway=bool(known.get("anyway")),
        )
    except GearError as error:
        for fault in error.faults:
            messages.error(request, f"Nothing was given out: {fault}.")
    else:
        messages.success(request, f"Given out, in {len(made)} lot{'' if len(made) == 1 else 's'}.")
    return redirect("planning:open", plan=plan)


@require_safe
@may("see plans")
def pick_list_page(request: HttpRequest, plan: int) -> HttpResponse:
    """What is to be taken off the shelves, rig by rig, to be printed."""
    found = _answered(request, get_object_or_404(Plan, pk=plan))
    return render(request, "planning/pick_list.html", page_of(found, rules_now(), public=True))


@require_safe
@may("see plans")
def pick_list_paper(request: HttpRequest, plan: int) -> HttpResponse:
    """The same as a PDF."""
    found = _answered(request, get_object_or_404(Plan, pk=plan))
    try:
        pdf = pick_list(found, rules_now())
    except PressError as error:
        return HttpResponse(str(error), status=409, content_type="text/plain; charset=utf-8")
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="pick-list-{found.plan.pk}.pdf"'
    return response
