"""Finding people on the roster. Nothing private is searched or sorted by."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.http import QueryDict

from ropewright.web.people.models import Person

__all__ = ["Asked", "duties", "found"]

WHICH = {"active": "active", "inactive": "not active any more", "all": "everybody"}
CAN = {"": "rope or not", "rope": "may go on rope", "haul": "may haul"}


@dataclass(frozen=True, slots=True)
class Asked:
    """What is looked for: words, a duty, which of them, and what they may do."""

    words: str = ""
    duty: str = ""
    which: str = "active"
    can: str = ""

    @classmethod
    def of(cls, query: QueryDict) -> Asked:
        """Read it out of an address; what makes no sense is left out."""
        which, can = query.get("which", "active"), query.get("can", "")
        return cls(
            words=" ".join((query.get("q") or "").split())[:80],
            duty=(query.get("duty") or "")[:60],
            which=which if which in WHICH else "active",
            can=can if can in CAN else "",
        )

    @property
    def narrowed(self) -> bool:
        """Whether it leaves anybody out besides those who are not active."""
        return bool(self.words or self.duty or self.can or self.which == "inactive")


def found(asked: Asked) -> QuerySet[Person]:
    """Those who are looked for, by name."""
    people = Person.objects.order_by("name", "pk")
    if asked.which != "all":
        people = people.filter(active=asked.which == "active")
    if asked.duty:
        people = people.filter(duty=asked.duty)
    if asked.can == "rope":
        people = people.filter(on_rope=True)
    if asked.can == "haul":
        people = people.filter(hauls=True)
    for word in asked.words.split()[:6]:
        people = people.filter(
            Q(name__icontains=word)
            | Q(mark__icontains=word)
            | Q(duty__icontains=word)
            | Q(agency__icontains=word)
        )
    return people


def duties() -> list[str]:
    """Every duty that stands on the roster."""
    return list(Person.objects.exclude(duty="").values_list("duty", flat=True).distinct().order_by("duty"))
