"""The items that an address names: `item` any number of times, everything of a `kit`, all of an `issue`."""

from __future__ import annotations

from django.db.models import Q, QuerySet
from django.http import QueryDict

from ropewright.web.gear.models import Item

__all__ = ["MOST", "chosen", "keys"]

MOST = 500
"""The most items that one form takes."""


def keys(query: QueryDict, name: str) -> list[int]:
    """Whole numbers under a name of the address; whatever is none is left out."""
    return [
        int(text)
        for text in query.getlist(name)[:MOST]
        if text.isascii() and text.isdecimal() and len(text) < 16
    ]


def chosen(query: QueryDict, *, retired: bool = False) -> QuerySet[Item]:
    """The items chosen by an address; nothing where it names none."""
    which = (
        Q(pk__in=keys(query, "item"))
        | Q(kit__in=keys(query, "kit"))
        | Q(issues__issue__in=keys(query, "issue"))
    )
    found = Item.objects.filter(which).distinct()
    if not retired:
        found = found.exclude(state=Item.State.RETIRED)
    return found.select_related("kit", "place").order_by("mark")[:MOST]
