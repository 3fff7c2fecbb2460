"""What a check has to say of a rig, in plain words, with what would mend it."""

from __future__ import annotations

from collections.abc import Iterable

from ropewright.judgement.examine import Examination
from ropewright.judgement.rules import LEVELS, RULES, Context, Finding
from ropewright.quantity import Units

__all__ = ["findings", "within_policy"]


def findings(examination: Examination, units: Units = "both") -> tuple[Finding, ...]:
    """Everything found, stops first, then questions, cautions and notes; figures worded in ``units``."""
    context = Context(examination, units)
    found = dict.fromkeys(f for rule in RULES for f in rule(context))
    return tuple(sorted(found, key=lambda f: LEVELS.index(f.level)))


def within_policy(found: Iterable[Finding]) -> bool:
    """Whether a rig with these findings is within policy: no stop, and no open question that strength, rating
    or friction hangs on.
    """
    return not any(f.level == "stop" or f.open for f in found)
