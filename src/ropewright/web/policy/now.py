"""The rules in force, asked once for each request."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any, Literal
from zoneinfo import ZoneInfo

from django.utils import timezone

from ropewright.quantity import System, Units
from ropewright.rig import TeamPolicy
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.shipped import shipped_intervals, shipped_ratios, shipped_rules

__all__ = [
    "TeamRules",
    "before_any",
    "by_team_clock",
    "forget_rules",
    "rules_now",
    "rules_numbered",
    "rules_of",
    "shipped_rules",
]


@dataclass(frozen=True, slots=True)
class TeamRules:
    """A version of the team's rules; number 0 stands for the shipped ones, before a team has any."""

    number: int = 0
    name: str = "the shipped policy"
    team: str = "Ropewright"
    zone: str = "UTC"
    first: System = "metric"
    edition: str = ""
    rules: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    intervals: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    ratios: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    reserve: tuple[Mapping[str, Any], ...] = ()
    retention: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    @property
    def units(self) -> Units:
        """The units that are printed: always both, the team's own first."""
        return "both-us" if self.first == "us" else "both"

    @property
    def for_engine(self) -> TeamPolicy:
        """The rules as the engine takes them; printed with every verdict."""
        named = f"{self.name}, version {self.number}" if self.number else self.name
        return TeamPolicy(
            named, {key: (rule["value"], str(rule.get("source", ""))) for key, rule in self.rules.items()}
        )


_now: ContextVar[TeamRules | None] = ContextVar("rules in force", default=None)


def rules_now() -> TeamRules:
    """The newest version of the rules, read once for each request."""
    found = _now.get()
    if found is None:
        newest = PolicyVersion.objects.first()
        found = rules_of(newest) if newest else before_any()
        _now.set(found)
    return found


def before_any() -> TeamRules:
    """What holds where a team has no version of its own yet."""
    return TeamRules(rules=shipped_rules(), ratios=shipped_ratios(), intervals=shipped_intervals())


def forget_rules() -> None:
    """Read them anew when they are asked for next: at the start of a request, and after a new version."""
    _now.set(None)


def rules_of(version: PolicyVersion) -> TeamRules:
    """A stored version in the form that everything asks."""
    first: Literal["metric", "us"] = "us" if version.units == "us" else "metric"
    return TeamRules(
        number=version.number,
        name=version.name,
        team=version.team,
        zone=version.zone,
        first=first,
        edition=version.edition,
        rules=version.rules,
        words=version.words,
        intervals=version.intervals,
        ratios=version.ratios,
        reserve=tuple(version.reserve),
        retention=version.retention,
    )


def rules_numbered(number: int) -> TeamRules:
    """The rules of a version; number 0 stands for the shipped ones."""
    return rules_of(PolicyVersion.objects.get(number=number)) if number else before_any()


@contextmanager
def by_team_clock() -> Iterator[None]:
    """Tell times and days by the team's time zone inside: today is the day that it is where the team is."""
    with timezone.override(ZoneInfo(rules_now().zone)):
        yield
