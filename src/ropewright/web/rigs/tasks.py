"""What is worked out beside the server: what lists show of rigs, and the printed cards of large ones."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.cards import card_of, fresh
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.papers import printed_again
from ropewright.web.workings.background import ask_all

__all__ = ["ask_for_cards", "card", "paper"]


def ask_for_cards() -> None:
    """Ask for the card of every rig in use that has none of its version by the policy in force."""
    rules = rules_now()
    stale = Rig.objects.filter(put_away=None, latest__gt=0).exclude(
        pk__in=Rig.objects.filter(fresh()).values("pk")
    )
    wanted = [
        ((slug, latest, rules.number, rules.name), {"rig": slug})
        for slug, latest in stale.values_list("slug", "latest")
    ]
    ask_all("rig-listed", wanted)


def card(asked: Mapping[str, Any], tell: Callable[..., None]) -> dict[str, Any]:
    """Work out one rig's card, as it stands by now."""
    rig = Rig.objects.select_related("card").filter(slug=asked["rig"], latest__gt=0).first()
    if rig is not None:
        card_of(rig)
    return {}


def paper(asked: Mapping[str, Any], tell: Callable[..., None]) -> dict[str, Any]:
    """A rig's printed card."""
    return printed_again(asked, tell)
