"""Which rigs the library shows: the words that are searched for, and the filters."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.http import QueryDict

from ropewright.web.rigs.cards import fresh
from ropewright.web.rigs.models import Rig, RigVersion

__all__ = ["DOES", "PAGE", "VERDICTS", "Wish", "found", "wish_of"]

PAGE = 48
LONGEST_SEARCH = 80
VERDICTS = {
    "within": "within policy",
    "outside": "outside policy",
    "unusable": "unusable",
    "waiting": "not worked out yet",
}
DOES = {"hauls": "hauls", "lowers": "lowers", "rest": "stands at rest"}


@dataclass(frozen=True, slots=True)
class Wish:
    """What somebody looks for. ``away``: those that were put away, instead of the others."""

    words: str = ""
    verdict: str = ""
    does: str = ""
    away: bool = False

    @property
    def narrows(self) -> bool:
        """Whether it asks for less than all."""
        return bool(self.words or self.verdict or self.does)


def wish_of(query: QueryDict) -> Wish:
    """The wish that an address spells; what is not understood is left out."""
    verdict, does = query.get("verdict", ""), query.get("does", "")
    return Wish(
        " ".join(query.get("words", "").replace("\0", "").split())[:LONGEST_SEARCH],
        verdict if verdict in VERDICTS else "",
        does if does in DOES else "",
        query.get("away") == "1",
    )


def found(wish: Wish) -> QuerySet[Rig]:
    """The rigs, each with its card but without the card's picture."""
    rigs = Rig.objects.filter(put_away__isnull=not wish.away, latest__gt=0)
    for word in wish.words.split():
        text = RigVersion.objects.filter(file=OuterRef("pk"), number=OuterRef("latest"), text__icontains=word)
        rigs = rigs.filter(
            Q(title__icontains=word) | Q(about__icontains=word) | Q(slug__icontains=word) | Exists(text)
        )
    if wish.verdict == "waiting":
        rigs = rigs.exclude(pk__in=Rig.objects.filter(fresh()).values("pk"))
    elif wish.verdict:
        rigs = rigs.filter(fresh(), card__verdict=wish.verdict)
    if wish.does == "rest":
        rigs = rigs.filter(fresh(), card__hauls=False, card__lowers=False).exclude(card__verdict="unusable")
    elif wish.does:
        rigs = rigs.filter(fresh(), **{f"card__{wish.does}": True})
    return rigs.select_related("card").defer("card__small")
