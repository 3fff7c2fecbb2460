"""The interface for scripts: read-only JSON, by token, described by OpenAPI at `/interface/openapi.json`."""

from __future__ import annotations

from datetime import timedelta
from math import ceil
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import URLPattern
from django.utils import timezone
from ninja import NinjaAPI
from ninja.pagination import LimitOffsetPagination, paginate

from ropewright import __version__
from ropewright.drawing import CAUTION
from ropewright.web.access import allowed, open_to_all, sees_mass, signed_in
from ropewright.web.gear.models import Item
from ropewright.web.interface.schemas import Detail, ItemOut, PersonOut, RigOut, RigWhole
from ropewright.web.interface.tokens import ByToken
from ropewright.web.people.models import Person
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.background import TooManyError, again
from ropewright.web.workings.engine import summary_of
from ropewright.web.workings.waiting import StillWorkingError

__all__ = ["api", "description", "patterns"]

ASK_AGAIN = 10
"""After how many seconds a script asks again for what is being worked out."""
TRY_AGAIN = timedelta(minutes=30)
"""How long after a failure a request tries once more."""

api = NinjaAPI(
    title="Ropewright",
    version=__version__,
    description="Read-only. Send `Authorization: Bearer TOKEN`; a token reads what its owner may read. "
    "Computed from what was entered, for planning and training under a qualified person.",
    auth=ByToken(),
    docs_url=None,
    openapi_url=None,
    urls_namespace="api",
)


def _ask(request: HttpRequest, act: str) -> None:
    if not allowed(request.user, act):
        raise PermissionDenied(act)


@api.exception_handler(PermissionDenied)
def _refused(request: HttpRequest, error: PermissionDenied) -> object:
    return api.create_response(request, {"detail": f"this token's owner may not {error}"}, status=403)


@api.exception_handler(StillWorkingError)
def _waits(request: HttpRequest, error: StillWorkingError) -> object:
    try:
        row = error.ask()
        left = TRY_AGAIN - (timezone.now() - row.beat if row.beat else TRY_AGAIN)
        if row.has_failed and left <= timedelta():
            again(row)
    except TooManyError as many:
        return _too_many(request, many)
    if row.has_failed:
        detail = f"“{error.what}” could not be worked out: {row.words}"
        return _later(request, f"{detail}; a request after a while tries once more", 409, left)
    detail = f"“{error.what}” is large and being worked out; ask again in {ASK_AGAIN} seconds"
    return _later(request, detail, 503, timedelta(seconds=ASK_AGAIN))


@api.exception_handler(TooManyError)
def _too_many(request: HttpRequest, error: TooManyError) -> object:
    detail = f"{error}, and no more may; ask again once some of it is done"
    return _later(request, detail, 429, timedelta(seconds=3 * ASK_AGAIN))


def _later(request: HttpRequest, detail: str, status: int, after: timedelta) -> HttpResponse:
    answer = api.create_response(request, {"detail": detail}, status=status)
    answer["Retry-After"] = str(ceil(after.total_seconds()))
    return answer


@api.get("/rigs", response=list[RigOut], summary="Rigs that are not put away")
@paginate(LimitOffsetPagination)
def rigs(request: HttpRequest) -> object:
    """By title; their texts stand under their names."""
    _ask(request, "see rigs")
    return [_rig(rig) for rig in Rig.objects.filter(put_away=None)]


@api.get(
    "/rigs/{name}",
    response={200: RigWhole, 409: Detail, 429: Detail, 503: Detail},
    summary="One rig, worked out",
)
def rig(request: HttpRequest, name: str) -> object:
    """Its text, the verdict and every force; 503 while a large one is worked out, 409 where it could not be,
    429 where too much waits for the token's owner: ask again after `Retry-After`.
    """
    _ask(request, "see rigs")
    found = get_object_or_404(Rig, slug=name)
    version, rules = found.current, rules_now()
    worked = summary_of(version.text, rules)
    return _rig(found) | {
        "text": version.text,
        "policy": rules.for_engine.name,
        "within_policy": worked.get("within"),
        "own_rules": worked.get("own", {}).get("told", ""),
        "faults": worked.get("faults", []),
        "report": worked.get("report"),
        "caution": CAUTION,
    }


def _rig(rig: Rig) -> dict[str, object]:
    return {
        "name": rig.slug,
        "title": rig.title,
        "about": rig.about,
        "version": rig.latest,
        "changed": rig.changed,
    }


@api.get("/gear", response=list[ItemOut], summary="Items, the retired ones too")
@paginate(LimitOffsetPagination)
def gear(request: HttpRequest, type: str = "") -> object:  # noqa: A002 - the word of the address
    """By mark. `type` takes a catalogue type."""
    _ask(request, "see gear")
    items = Item.objects.select_related("place", "kit")
    return [_item(item) for item in (items.filter(type=type) if type else items)]


@api.get("/gear/{mark}", response=ItemOut, summary="One item")
def item(request: HttpRequest, mark: str) -> object:
    """By the mark on it."""
    _ask(request, "see gear")
    return _item(get_object_or_404(Item.objects.select_related("place", "kit"), mark=mark))


def _item(item: Item) -> dict[str, object]:
    return {
        "mark": item.mark,
        "type": item.type,
        "name": item.name,
        "state": item.shown_state,
        "reason": item.reason,
        "length_m": item.length,
        "strength_n": item.strength,
        "working_load_n": item.working_load,
        "user_mass_kg": item.user_mass,
        "standard": item.standard,
        "grade": item.grade,
        "serial": item.serial,
        "made": item.made,
        "bought": item.bought,
        "first_used": item.first_used,
        "inspected": item.inspected,
        "next_due": item.next_due,
        "place": item.place.name if item.place else "",
        "kit": item.kit.name if item.kit else "",
        "front_line": item.front_line,
    }


@api.get("/people", response=list[PersonOut], summary="The roster")
@paginate(LimitOffsetPagination)
def people(request: HttpRequest) -> object:
    """By name; masses only where the token's owner may see them."""
    _ask(request, "see people")
    return [_person(request, person) for person in Person.objects.prefetch_related("skills")]


@api.get("/people/{number}", response=PersonOut, summary="One person")
def person(request: HttpRequest, number: int) -> object:
    """By their number in the roster; anybody may read their own entry."""
    own = signed_in(request).person_id == number
    if not own:
        _ask(request, "see people")
    return _person(request, get_object_or_404(Person, pk=number))


def _person(request: HttpRequest, person: Person) -> dict[str, object]:
    private = sees_mass(signed_in(request), person)
    return {
        "id": person.pk,
        "name": person.name,
        "duty": person.duty,
        "active": person.active,
        "on_rope": person.on_rope,
        "hauls": person.hauls,
        "mass_kg": person.mass if private else None,
        "pull_n": person.pull if private else None,
        "reach_m": person.reach if private else None,
        "limits": person.limits if private else None,
        "skills": [held.skill for held in person.skills.all()],
    }


def patterns() -> list[URLPattern]:
    """The interface's addresses. Tokens are their own door: the app's sign-in does not stand before it."""
    found = [p for p in api.urls[0] if isinstance(p, URLPattern) and p.name != "api-root"]
    for pattern in found:
        pattern.callback = open_to_all(pattern.callback)
    return found


def description(prefix: str) -> dict[str, Any]:
    """What OpenAPI says of the interface, for addresses that begin so."""
    return dict(api.get_openapi_schema(path_prefix=prefix))
