"""What is worked out beside the server: what lists show of rigs, and all that pages ask of large ones."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from ropewright.rig import Rig as RigRead
from ropewright.web.policy.now import rules_now, rules_numbered
from ropewright.web.rigs import trying
from ropewright.web.rigs.cards import card_of, fresh
from ropewright.web.rigs.crew_limits import worn_in
from ropewright.web.rigs.crews import answered_again
from ropewright.web.rigs.glancing import glance_at
from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.papers import picture_png, printed_again
from ropewright.web.workings.background import ask_all
from ropewright.web.workings.engine import read_for_team

__all__ = ["ask_for_cards", "card", "crew", "friction", "glance", "limits", "paper", "png", "turned"]

Asked = Mapping[str, Any]
Tell = Callable[..., None]


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


def card(asked: Asked, tell: Tell) -> dict[str, Any]:
    """Work out one rig's card, as it stands by now."""
    rig = Rig.objects.select_related("card").filter(slug=asked["rig"], latest__gt=0).first()
    if rig is not None:
        card_of(rig)
    return {}


def paper(asked: Asked, tell: Tell) -> dict[str, Any]:
    """A rig's printed card."""
    return printed_again(asked, tell)


def png(asked: Asked, tell: Tell) -> dict[str, Any]:
    """A rig's picture as PNG."""
    return {"png": b64encode(picture_png(asked["svg"])).decode()}


def friction(asked: Asked, tell: Tell) -> dict[str, Any]:
    """The figures that its friction comes from."""
    return trying.friction(_read(asked))


def glance(asked: Asked, tell: Tell) -> dict[str, Any]:
    """What it comes to, by a glance."""
    return asdict(glance_at(_read(asked)))


def turned(asked: Asked, tell: Tell) -> dict[str, Any]:
    """The same with its knobs turned."""
    _, done = trying.turned_by(asked["text"], asked["turned"], rules_numbered(asked["rules"]))
    return asdict(glance_at(done.rig))


def crew(asked: Asked, tell: Tell) -> dict[str, Any]:
    """Who can work it."""
    return answered_again(asked, rules_numbered(asked["rules"]))


def limits(asked: Asked, tell: Tell) -> dict[str, Any]:
    """What its gear takes of whoever hangs on it."""
    return worn_in(_read(asked))


def _read(asked: Asked) -> RigRead:
    return read_for_team(asked["text"], rules_numbered(asked["rules"]))
