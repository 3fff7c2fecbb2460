"""Giving gear out, taking it back, and what is out."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.rig import RigFileError
from ropewright.web.access import may, signed_in
from ropewright.web.gear import issues
from ropewright.web.gear.chosen import chosen, keys
from ropewright.web.gear.forms_issue import GiveOutForm, MoreForm
from ropewright.web.gear.intervals import age_of
from ropewright.web.gear.issues import Line, Purpose
from ropewright.web.gear.models import Issue
from ropewright.web.gear.refusals import GearError
from ropewright.web.gear.states import why_not_usable
from ropewright.web.gear.usable import on_the_rig
from ropewright.web.gear.wanted import Part, Proposal, check_parts, parts_of, propose
from ropewright.web.rigs.models import Rig, RigVersion

__all__ = ["add_more", "give_out", "issue_page", "out", "take_back"]


@require_safe
@may("see gear")
def out(request: HttpRequest) -> HttpResponse:
    """What is out, overdue first, and what came back lately."""
    closed = Issue.objects.exclude(closed=None).select_related("taken_by").annotate(count=Count("lines"))
    page = Paginator(closed.order_by("-closed"), 25).get_page(request.GET.get("page"))
    context = {"issues": issues.open_issues(), "page": page, "today": timezone.localdate()}
    return render(request, "gear/out.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("log use")
def give_out(request: HttpRequest) -> HttpResponse:
    """Give items out for one use, for a rig part by part where one is named."""
    version, proposals, trouble = _rig(request)
    offered = list(chosen(request.GET))
    posted = request.method == "POST"
    form = GiveOutForm(request.POST if posted else None, initial=_initial(version))
    if posted and form.is_valid():
        parts = _parts(request, proposals)
        named = [Line(key, part.name) for part, key in parts]
        lines = [*named, *_ticked(request), *form.cleaned_data["marks"]]
        purpose = Purpose(
            form.cleaned_data["what"], form.cleaned_data["taken_by"], form.cleaned_data["until"], version
        )
        below = form.cleaned_data["below_reserve"]
        try:
            check_parts(parts)
            issue = issues.give_out(purpose, lines, signed_in(request), below_reserve=below)
        except GearError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{len(lines)} item{'' if len(lines) == 1 else 's'} given out.")
            return redirect("gear:issue", issue=issue.pk)
    picked = keys(request.POST, "item") if posted else [i.pk for i in offered if not why_not_usable(i)]
    today = timezone.localdate()
    context = {
        "form": form,
        "version": version,
        "trouble": trouble,
        "rigs": Rig.objects.filter(put_away=None),
        "proposals": [(n, proposal, _picked(request, n, proposal)) for n, proposal in enumerate(proposals)],
        "offered": [(item, why_not_usable(item), on_the_rig(item), age_of(item, today)) for item in offered],
        "picked": set(picked),
    }
    return render(request, "gear/give_out.html", context, status=422 if form.errors else 200)


def _rig(request: HttpRequest) -> tuple[RigVersion | None, list[Proposal], str]:
    """The current version of the rig that the address names, its parts with proposals, and what is wrong."""
    slug = request.GET.get("rig", "")
    if not slug:
        return None, [], ""
    rig = get_object_or_404(Rig, slug=slug, put_away=None)
    version: RigVersion = rig.current
    try:
        return version, propose(parts_of(version)), ""
    except RigFileError as error:
        return version, [], str(error)


def _initial(version: RigVersion | None) -> dict[str, str]:
    return {"what": str(version.file)[:160]} if version else {}


def _parts(request: HttpRequest, proposals: Sequence[Proposal]) -> list[tuple[Part, int]]:
    """The key of the item chosen for each part, where one was."""
    picked = [(proposal.part, _picked(request, n, proposal)) for n, proposal in enumerate(proposals)]
    return [(part, key) for part, key in picked if key is not None]


def _picked(request: HttpRequest, n: int, proposal: Proposal) -> int | None:
    if request.method != "POST":
        return proposal.first.pk if proposal.first else None
    found = keys(request.POST, f"part_{n}")
    return found[0] if found else None


def _ticked(request: HttpRequest) -> list[Line]:
    return [Line(key) for key in keys(request.POST, "item")]


@require_safe
@may("see gear")
def issue_page(request: HttpRequest, issue: int) -> HttpResponse:
    """What went out for a use, as which part, what is back, what happened; `?tick=all` ticks what is out."""
    found = get_object_or_404(
        Issue.objects.select_related("taken_by", "given_by__person", "rig_version__file"), pk=issue
    )
    lines = list(found.lines.select_related("item__kit"))
    out = {line.pk for line in lines if line.back is None}
    context = {
        "issue": found,
        "lines": lines,
        "out": len(out),
        "ticked": out if request.GET.get("tick") == "all" else set(),
        "events": found.events.all(),
        "more": MoreForm(),
        "today": timezone.localdate(),
    }
    return render(request, "gear/issue.html", context)


@require_POST
@may("log use")
def take_back(request: HttpRequest, issue: int) -> HttpResponse:
    """Take back the ticked lines; `tick` only shows the list again with every one ticked."""
    if "tick" in request.POST:
        return redirect(f"{reverse('gear:issue', args=[issue])}?tick=all#back")
    found = get_object_or_404(Issue, pk=issue)
    count = issues.take_back(found, keys(request.POST, "line"), signed_in(request))
    if count:
        messages.success(request, f"{count} item{'' if count == 1 else 's'} back.")
    else:
        messages.warning(request, "Nothing was ticked that is still out.")
    return redirect("gear:issue", issue=issue)


@require_POST
@may("log use")
def add_more(request: HttpRequest, issue: int) -> HttpResponse:
    """Give out more for the same use."""
    found = get_object_or_404(Issue, pk=issue)
    form = MoreForm(request.POST)
    faults: list[str] = []
    if form.is_valid():
        try:
            issues.add(
                found,
                form.cleaned_data["marks"],
                signed_in(request),
                below_reserve=form.cleaned_data["below_reserve"],
            )
        except GearError as error:
            faults += error.faults
    else:
        faults += [str(fault) for each in form.errors.values() for fault in each]
    for fault in faults:
        messages.error(request, fault)
    if not faults:
        messages.success(request, "Given out with the others.")
    return redirect("gear:issue", issue=issue)
