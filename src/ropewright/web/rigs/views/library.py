"""The library of rigs: search, filters, and each rig's small picture and verdict."""

from __future__ import annotations

from http import HTTPStatus

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from ropewright.web.access import may
from ropewright.web.rigs.cards import card_of, fresh, is_fresh
from ropewright.web.rigs.listing import DOES, PAGE, VERDICTS, found, wish_of
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.tasks import ask_for_cards
from ropewright.web.workings.asking import asked_by
from ropewright.web.workings.waiting import StillWorkingError

__all__ = ["card", "library", "small"]

A_YEAR = 31_536_000


@require_safe
@may("see rigs")
def library(request: HttpRequest) -> HttpResponse:
    """Every rig, or those somebody looks for. Stale cards fetch themselves, one after another, and are
    asked for beside the server too, so that filters soon find every rig.
    """
    wish = wish_of(request.GET)
    page = Paginator(found(wish), PAGE).get_page(request.GET.get("page"))
    shown = [{"rig": rig, "card": rig.card if is_fresh(rig) else None} for rig in page]
    here = Rig.objects.filter(put_away__isnull=not wish.away)
    waiting = here.count() - here.filter(fresh()).count() if wish.verdict or wish.does else 0
    if waiting or any(each["card"] is None for each in shown):
        ask_for_cards()
    context = {"wish": wish, "page": page, "shown": shown, "waiting": waiting}
    return render(request, "rigs/library.html", {**context, "verdicts": VERDICTS, "does": DOES})


@require_safe
@may("see rigs")
def card(request: HttpRequest, rig: str) -> HttpResponse:
    """One rig as the library shows it, worked out now where it has not been yet; a large one asks again."""
    found_rig = get_object_or_404(Rig.objects.select_related("card"), slug=rig)
    try:
        context = {"rig": found_rig, "card": card_of(found_rig)}
    except StillWorkingError as error:
        with asked_by(None):  # a library of many large rigs takes nobody's room in the queue
            row = error.ask()
        status = HTTPStatus.OK if row.has_failed else HTTPStatus.ACCEPTED
        return render(request, "rigs/card.html", {"rig": found_rig, "card": None, "row": row}, status=status)
    return render(request, "rigs/card.html", context)


@require_safe
@may("see rigs")
def small(request: HttpRequest, rig: str) -> HttpResponse:
    """A rig's picture without words. The address carries what it is of, so a browser may keep it for good."""
    made = card_of(get_object_or_404(Rig.objects.select_related("card"), slug=rig))
    if not made.small:
        return HttpResponse(status=404)
    response = HttpResponse(made.small, content_type="image/svg+xml")
    if request.GET.get("of") == made.shown_of:
        response["Cache-Control"] = f"private, max-age={A_YEAR}, immutable"
    return response
