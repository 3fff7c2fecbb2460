"""The rules that a rig's own text states instead of the team's, or of the shipped ones, and how they lean."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal, cast

from ropewright.judgement.policy import Policy
from ropewright.quantity import Kind, Units, show
from ropewright.rig import POLICY_KEYS, Crew, Rig, TeamPolicy

__all__ = [
    "NOT_ASKED",
    "READS_ALIKE",
    "OwnRule",
    "Way",
    "mark_of",
    "own_rule",
    "own_rules",
    "said_of",
    "sentence",
    "shown_value",
    "stated_beyond",
    "team_rule",
    "told",
]

NOT_ASKED = "not asked"
Way = Literal["looser", "stricter", ""]

# What the team does with a rule, and whether a greater figure is the stricter one.
_ASKS, _ALLOWS, _COUNTS = ("asks", True), ("allows", False), ("counts on", False)
_LEANS = {
    "static-factor": _ASKS,
    "slip-margin": _ASKS,
    "grab-factor": _ASKS,
    "chains": _ASKS,
    "hands-off-chains": _ASKS,
    "least-clearance": _ASKS,
    "protect-edges": _ASKS,
    "rate-anchors": _ASKS,
    "tend-loaded-devices": _ASKS,
    "test-before-last": _ASKS,
    "rope-reserve": _ASKS,
    "most-haulers": _ALLOWS,
    "most-pull-on-line": _ALLOWS,
    "most-catch-force": _ALLOWS,
    "most-litter-catch": _ALLOWS,
    "most-drop": _ALLOWS,
    "most-leg-angle": _ALLOWS,
    "brake-hand": _COUNTS,
    "hauler-pull": _COUNTS,
    "reach-on-rope": _COUNTS,
    "reach-standing": _COUNTS,
}
_SAME = 1e-6
"""Share by which two figures may differ through their units alone."""
READS_ALIKE = 0.005
"""Share by which pulls may differ that read alike: 30 lbf is 133.4 N, and the policy's figure 133 N."""


@dataclass(frozen=True, slots=True)
class OwnRule:
    """A rule of a rig's text that differs from the team's; ``said``: both in words; ``way``: "" where
    neither is the stricter.
    """

    key: str
    said: str
    way: Way


def own_rules(rig: Rig, units: Units = "both") -> tuple[OwnRule, ...]:
    """The rules that a rig's text states otherwise than the team: a rule that says the same is none."""
    found = (own_rule(key, own, rig.team, units) for key, own in rig.policy.items())
    return (*(rule for rule in found if rule), *_crews(rig, units))


def _crews(rig: Rig, units: Units) -> Iterable[OwnRule]:
    """Crews that the rig counts on for more than the team does."""
    each, brake = (float(team_rule(key, rig.team)[0] or 0.0) for key in ("hauler-pull", "brake-hand"))
    whose = "the team" if rig.team else "the shipped policy"
    for crew in rig.crews.values():
        if crew.pull is not None and stated_beyond(crew, each, brake, rig.haul is not None):
            own = shown_value("hauler-pull", crew.pull.likely, units)
            said = f"pull of {crew.name} {own}, {whose} {_theirs('hauler-pull', each, units)} (looser)"
            yield OwnRule(f"pull of {crew.name}", said, "looser")


def stated_beyond(crew: Crew, each: float, brake: float, hauls: bool) -> bool:
    """Whether a crew's own pull lets more through than ``each`` [N] of the policy: in a haul any greater one,
    in holding one that comes to more than ``brake`` [N], which one gloved hand is counted on for.
    """
    if crew.pull is None or crew.pull.likely <= each * (1 + READS_ALIKE):
        return False
    return hauls or crew.people * crew.pull.likely > max(brake, crew.people * each) * (1 + READS_ALIKE)


def own_rule(key: str, own: Any, rules: TeamPolicy | None, units: Units = "both") -> OwnRule | None:
    """A rule beside the team's; None where both say the same, and for whose the rules are."""
    if key in ("name", "source"):
        return None
    theirs, like = team_rule(key, rules)
    if _alike(own, theirs):
        return None
    way = _way(key, own, theirs)
    whose = "the team" if rules else "the shipped policy"
    said = f"{key} {shown_value(key, own, units)}, {whose} {_theirs(key, theirs, units)}{like}"
    return OwnRule(key, f"{said} ({way})" if way else said, way)


def team_rule(key: str, rules: TeamPolicy | None) -> tuple[Any, str]:
    """What the team has for a rule, None where nothing, and what that is taken from if not its own."""
    team = Policy(Rig("", team=rules)).rules
    words = rules.rules.get(key, (None, ""))[0] if rules else None
    theirs = team[key].value if key in team else words
    if key == "grab-factor" and theirs is None:  # a grab is asked for what every part is asked for
        return team["static-factor"].value, " as of every part"
    return theirs, ""


def told(found: Iterable[OwnRule]) -> str:
    """Rules in one line."""
    return "; ".join(rule.said for rule in found)


def sentence(rig: Rig, units: Units = "both") -> str:
    """What a sheet says beside its verdict: the rules of the file's own, each with what is asked otherwise;
    empty where there are none.
    """
    found = [rule for rule in own_rules(rig, units) if rule.way]
    looser = " (some looser)" if 0 < sum(rule.way == "looser" for rule in found) < len(found) else ""
    return f"By rules of the file's own{looser}: {told(found)}." if found else ""


def said_of(rig: Rig, units: Units = "both") -> dict[str, str]:
    """The rules of a rig's own as pages show them: `mark` beside a verdict, `told` in full."""
    found = own_rules(rig, units)
    return {"mark": mark_of(found), "told": told(found)}


def mark_of(found: Sequence[OwnRule]) -> str:
    """The words that stand beside a verdict; "" where a rig states no rule of its own."""
    ways = {rule.way for rule in found}
    if not found:
        return ""
    if "looser" in ways:
        return "own rules, looser" if ways == {"looser"} else "own rules, some looser"
    return "own rules, stricter" if ways == {"stricter"} else "own rules"


def _alike(own: Any, theirs: Any) -> bool:
    if isinstance(own, str) or isinstance(theirs, str) or theirs is None:
        return bool(own == theirs)
    return math.isclose(float(own), float(theirs), rel_tol=_SAME, abs_tol=_SAME)


def _way(key: str, own: Any, theirs: Any) -> Way:
    """Which of two rules lets more through. Where the team has no rule, any is stricter, but for what hands
    are counted on: without a rule they are counted on for nothing.
    """
    if key not in _LEANS or isinstance(own, str):
        return ""
    verb, more_is_stricter = _LEANS[key]
    if theirs is None:
        return "looser" if verb == "counts on" else "stricter"
    return "stricter" if (float(own) > float(theirs)) == more_is_stricter else "looser"


def _theirs(key: str, theirs: Any, units: Units) -> str:
    if key not in _LEANS:
        return "has no such rule" if theirs is None else f"has {shown_value(key, theirs, units)}"
    verb, _ = _LEANS[key]
    if theirs is None:
        return "has no such rule"
    if POLICY_KEYS[key].kind == "yes-no":
        return "asks for it" if theirs else "does not ask for it"
    return f"{verb} {shown_value(key, theirs, units)}"


def shown_value(key: str, value: Any, units: Units = "both") -> str:
    """A rule's value in words, figures in both systems."""
    if value is None:
        return NOT_ASKED
    kind = POLICY_KEYS[key].kind
    if kind == "yes-no":
        return "yes" if value else "no"
    if kind == "words":
        return str(value)
    if kind in ("count", "share"):
        return f"{value:g}"
    return show(float(value), cast(Kind, kind), units)
