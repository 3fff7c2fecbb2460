"""One rig opened, as it stands or as a version of it was; and who can work it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from ropewright.web.access import may, signed_in
from ropewright.web.pages.keeping import kept_offline
from ropewright.web.policy.now import rules_now
from ropewright.web.procedures.models import Procedure
from ropewright.web.rigs.cards import card_of
from ropewright.web.rigs.crews import who_can
from ropewright.web.rigs.models import Rig, RigVersion
from ropewright.web.rigs.reading import glance_of, margins_of, strands_of, told_of
from ropewright.web.versions.reading import version_of
from ropewright.web.workings.answers import wait_answer
from ropewright.web.workings.engine import read_for_team, summary_of
from ropewright.web.workings.waiting import StillWorkingError

__all__ = ["crew", "open_rig", "open_version"]


@kept_offline
@require_safe
@may("see rigs")
def open_rig(request: HttpRequest, rig: str) -> HttpResponse:
    """One rig: its verdict, picture and numbers, worked out from its text."""
    found = get_object_or_404(Rig.objects.select_related("card").defer("card__small"), slug=rig)
    version = version_of(found, found.latest)
    try:
        card_of(found)  # whoever opens a rig leaves its card fresh for the library
        shown = _shown(found, version)
    except StillWorkingError as error:
        return wait_answer(request, error, "rigs/waits.html", {"rig": found, "version": version})
    procedures = Procedure.objects.filter(rig_slug=found.slug, put_away=None)
    return render(request, "rigs/open.html", {**shown, "procedures": procedures})


@require_safe
@may("see rigs")
def open_version(request: HttpRequest, rig: str, number: int) -> HttpResponse:
    """A version as it was, worked out by the policy in force."""
    found = get_object_or_404(Rig, slug=rig)
    version = version_of(found, number)
    try:
        shown = _shown(found, version)
    except StillWorkingError as error:
        return wait_answer(request, error, "rigs/waits.html", {"rig": found, "version": version, "old": True})
    return render(request, "rigs/open.html", {**shown, "old": True})


@require_safe
@may("see rigs")
def crew(request: HttpRequest, rig: str, number: int) -> HttpResponse:
    """Who can work it: the roster for those who may see masses, otherwise classes of mass."""
    found = get_object_or_404(Rig, slug=rig)
    answer = who_can(version_of(found, number).text, signed_in(request))
    whole = not getattr(request, "htmx", False)
    return render(request, "rigs/crew_page.html" if whole else "rigs/crew.html", {"rig": found, **answer})


def _shown(rig: Rig, version: RigVersion) -> dict[str, Any]:
    """Everything that the page of a rig shows."""
    worked = summary_of(version.text)
    rows = version.text.splitlines()
    context: dict[str, Any] = {"rig": rig, "version": version, "worked": worked, "policy": rules_now()}
    if "faults" in worked:
        faults = [
            {**f, "quote": rows[f["line"] - 1] if 0 < f["line"] <= len(rows) else ""}
            for f in worked["faults"]
        ]
        levels = {fault["line"]: "stop" for fault in faults}
        return {**context, "faults": faults, "shown_title": str(rig), "lines": _lines(rows, levels)}
    report, told = worked["report"], told_of(worked["found"], version.text)
    loads = read_for_team(version.text).loads
    masses = {name: load.mass.likely for name, load in loads.items()}
    levels = {
        number: "stop" if key == "first" else key
        for key in ("note", "caution", "question", "first")
        for each in told[key]
        for number, _ in each.quotes
    }
    return {
        **context,
        "shown_title": report["rig"],
        "told": told,
        "open_questions": sum(each.level != "stop" for each in told["first"]),
        "glance": glance_of(report, worked["found"], masses),
        "somebody": any(load.kind == "person" for load in loads.values()),
        "strands": strands_of(report),
        "margins": margins_of(report),
        "lines": _lines(rows, levels),
        "crew_url": reverse("rigs:crew", args=(rig.slug, version.number)),
    }


def _lines(rows: list[str], levels: dict[int, str]) -> list[dict[str, Any]]:
    """The text line by line, each with the gravest thing that was found there."""
    return [
        {"number": number, "text": text, "level": levels.get(number, "")}
        for number, text in enumerate(rows, 1)
    ]
