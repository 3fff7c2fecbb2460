"""What lists show of a rig: one slim row each, so that a list of hundreds loads no picture and no report."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db.models import F, Q

from ropewright.quantity import show_length, show_mass
from ropewright.rig import Rig as RigRead
from ropewright.web.best_effort import best_effort
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.models import Rig, RigCard
from ropewright.web.workings.engine import read_for_team, summary_of
from ropewright.web.workings.program import program

__all__ = ["card_of", "fresh", "is_fresh"]


def fresh() -> Q:
    """The rigs whose card speaks of their current version, by the policy in force."""
    rules = rules_now()
    return Q(
        card__version=F("latest"),
        card__policy=rules.number,
        card__policy_name=rules.name,
        card__program=program(),
    )


def is_fresh(rig: Rig) -> bool:
    """The same of one rig."""
    card, rules = getattr(rig, "card", None), rules_now()
    return card is not None and (card.version, card.policy, card.policy_name, card.program) == (
        rig.latest,
        rules.number,
        rules.name,
        program(),
    )


def card_of(rig: Rig) -> RigCard:
    """The card of a rig, worked out anew where it is stale, and stored where that can be."""
    card: RigCard | None = getattr(rig, "card", None)
    if card is not None and is_fresh(rig):
        return card
    rules, text = rules_now(), rig.current.text
    worked = summary_of(text, rules)
    made = {
        "version": rig.latest,
        "policy": rules.number,
        "policy_name": rules.name,
        "program": program(),
        **_said(text, worked),
    }
    stored = best_effort(lambda: RigCard.objects.update_or_create(rig=rig, defaults=made))
    return stored[0] if stored else RigCard(rig=rig, **made)


def _said(text: str, worked: Mapping[str, Any]) -> dict[str, Any]:
    """What a card says of a rig."""
    if "faults" in worked:
        empty = {"does": "", "carries": "", "stops": 0, "cautions": 0, "small": ""}
        empty |= {"own_mark": "", "own_rules": ""}
        return {**empty, "verdict": RigCard.Verdict.UNUSABLE, "hauls": False, "lowers": False}
    read = read_for_team(text)
    return {
        "verdict": RigCard.Verdict.WITHIN if worked["within"] else RigCard.Verdict.OUTSIDE,
        "hauls": read.haul is not None,
        "lowers": read.lower is not None,
        "does": _does(read, worked["report"])[:300],
        "carries": _carries(read)[:300],
        "own_mark": worked["own"]["mark"],
        "own_rules": worked["own"]["told"],
        "stops": worked["stops"],
        "cautions": worked["cautions"],
        "small": worked["small"],
    }


def _does(rig: RigRead, report: Mapping[str, Any]) -> str:
    """What a rig does, with its count: "hauls weight 4 m (13.1 ft), counted 3:1"."""
    said, units = [], rules_now().units
    if rig.haul is not None:
        counted = report["haul"] and report["haul"]["counted"]
        said.append(
            f"hauls {rig.haul.load} {show_length(rig.haul.distance, units)}"
            f"{f', counted {counted}' if counted else ', not counted'}"
        )
    if rig.lower is not None:
        said.append(f"lowers {rig.lower.load} {show_length(rig.lower.distance, units)}")
    return "; ".join(said) or "stands at rest"


def _carries(rig: RigRead) -> str:
    """Loads, whether a person is among them, and the people at the ropes."""
    units = rules_now().units
    loads = ", ".join(f"{load.name} {show_mass(load.mass.likely, units)}" for load in rig.loads.values())
    people = sum(crew.people for crew in rig.crews.values())
    crews = f"{people} {'person' if people == 1 else 'people'} at the ropes" if people else ""
    nobody = rig.loads and not any(load.kind in ("person", "litter") for load in rig.loads.values())
    return "; ".join(part for part in (loads, "no person on it" if nobody else "", crews) if part)
