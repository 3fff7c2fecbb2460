"""What a team begins with: the shipped rules, ratios and intervals with their sources; words and records."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ropewright.judgement.policy import SHIPPED

__all__ = [
    "GROUPS",
    "INTERVALS",
    "RATIOS",
    "RECORDS",
    "WORDS",
    "Given",
    "shipped_intervals",
    "shipped_ratios",
    "shipped_rules",
    "shipped_source",
]


@dataclass(frozen=True, slots=True)
class Given:
    """A figure that a team begins with: its key, what it is in words, and where it comes from."""

    key: str
    words: str
    value: int | None
    source: str = ""


# Every rule that a rig is judged by, in the order in which people look for them.
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Strength", ("static-factor", "grab-factor", "slip-margin", "rate-anchors", "most-leg-angle")),
    (
        "Who is held",
        (
            "chains",
            "hands-off-chains",
            "most-drop",
            "most-catch-force",
            "most-litter-catch",
            "least-clearance",
        ),
    ),
    ("Hands and crews", ("brake-hand", "hauler-pull", "most-haulers", "most-pull-on-line")),
    ("Edges, reach and spare rope", ("protect-edges", "reach-on-rope", "reach-standing", "rope-reserve")),
    ("Procedures and skill sheets", ("tend-loaded-devices", "test-before-last", "grades")),
)

RATIOS = (
    Given(
        "class",
        "in class",
        12,
        "this project's working default; theory 1:12 in an international work-at-height training standard",
    ),
    Given(
        "at-height",
        "at height",
        6,
        "this project's working default; practice 1:6 in an international work-at-height training standard",
    ),
    Given(
        "change-overs",
        "change-overs and live pick-offs",
        4,
        "this project's working default; a rope access bulletin (UK, 2014): one trainer with four at mixed "
        "levels was not enough",
    ),
)

_HALF_YEAR = "UK practice for rope access items (LOLER, EN 365): 6 months, and after any exceptional event"
INTERVALS = (
    Given("rope", "ropes", 182, _HALF_YEAR),
    Given("grab", "rope grabs", 182, _HALF_YEAR),
    Given("device", "devices", 182, _HALF_YEAR),
    Given("pulley", "pulleys", 182, _HALF_YEAR),
    Given("join", "connectors and slings", 182, _HALF_YEAR),
    Given("body", "harnesses and litters", 182, _HALF_YEAR),
    Given("protection", "edge protection", 182, _HALF_YEAR),
    Given(
        "textile-life",
        "life of textile and plastic, from the day it was made",
        3652,
        "retirement advice in trade and training articles (US, UK): over 10 years; the maker's own life, "
        "where it is shorter, comes first",
    ),
)

# What is called, by the trade's word; a team may have its own for each.
WORDS: tuple[tuple[str, str], ...] = (
    ("second-line", "the line that catches when the main line fails"),
    ("ready", "everybody in place, answered at the roll call"),
    ("lower", "let the load down"),
    ("raise", "take the load up"),
    ("stop", "stop at once; anybody may call it"),
    ("on-hold", "the load is held and stays where it is"),
    ("set", "let the load come onto the capture"),
    ("slack", "give rope"),
    ("tension", "take rope in"),
    ("reset", "bring the haul back for the next stroke"),
    ("lock-off", "make a device hold by itself"),
    ("change-over", "going from one way of moving to another"),
    ("knot", "a knot comes to the device"),
    ("off-rope", "nobody hangs on this rope any more"),
    ("rock", "something falls"),
    ("for-real", "this is no exercise"),
)

# Kinds of records; None: kept for good.
RECORDS = (
    Given("rigs", "rigs and procedures, every version", None),
    Given("policy", "versions of this policy", None),
    Given("gear", "items of gear, their use and their inspections", None),
    Given("people", "people, what they have and what they have shown", None),
    Given("plans", "plans", None),
)


def shipped_rules() -> dict[str, dict[str, Any]]:
    """The shipped rules in the form that a version keeps."""
    return {rule.key: {"value": rule.value, "source": rule.source} for rule in SHIPPED}


def shipped_source(key: str) -> str:
    """Where a shipped rule comes from; empty where none is shipped."""
    return next((rule.source for rule in SHIPPED if rule.key == key), "")


def shipped_ratios() -> dict[str, dict[str, Any]]:
    """The ratios that a team begins with."""
    return _kept(RATIOS, "students")


def shipped_intervals() -> dict[str, dict[str, Any]]:
    """The intervals that a team begins with."""
    return _kept(INTERVALS, "days")


def _kept(given: Iterable[Given], unit: str) -> dict[str, dict[str, Any]]:
    out: dict[str, dict[str, Any]] = {}
    for each in given:
        entry: Mapping[str, Any] = {unit: each.value, "source": each.source}
        out[each.key] = dict(entry)
    return out
