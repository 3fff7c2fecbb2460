"""What a check has to say of a rig, in plain words, with what would mend it."""

from __future__ import annotations

from collections.abc import Iterable

from ropewright.judgement.examine import Examination
from ropewright.judgement.rules import LEVELS, RULES, Context, Finding
from ropewright.quantity import Units

__all__ = ["findings", "keeps_outside", "within_policy"]


def findings(examination: Examination, units: Units = "both", *, first: bool = False) -> tuple[Finding, ...]:
    """Everything found, stops first, then questions, cautions and notes; figures worded in ``units``.

    ``first``: only what can be said before the failures, the chains and the limit of a postponed examination
    are asked. There is more to come then, and figures may still grow, so that nothing can be said of the
    policy yet.
    """
    context = Context(examination, units, first)
    found = dict.fromkeys(f for rule in RULES for f in rule(context))
    return tuple(sorted(found, key=lambda f: LEVELS.index(f.level)))


def within_policy(found: Iterable[Finding]) -> bool:
    """Whether a rig with these findings is within policy: no stop, and no open question that strength, rating
    or friction hangs on.
    """
    return not keeps_outside(found)


def keeps_outside(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that keep a rig outside policy."""
    return tuple(f for f in found if f.level == "stop" or f.open)
