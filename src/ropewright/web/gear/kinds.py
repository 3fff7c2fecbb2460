"""The kinds of gear that a cache holds: the catalogue's types, and a few that bear no figure."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from ropewright.web.workings.engine import catalogue

__all__ = [
    "TEXTILES",
    "Kind",
    "Point",
    "checklist_of",
    "checklist_title",
    "families",
    "kind_of",
    "kinds",
    "types_of_family",
    "words_for_gear",
]

TEXTILES = ("rope", "textile", "harness", "helmet")
"""Checklists of gear that ages by the calendar, as textile and plastic do."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A type of gear. ``checklist`` names the list of what is looked at in an inspection."""

    name: str
    family: str
    summary: str
    checklist: str
    in_catalogue: bool


@dataclass(frozen=True, slots=True)
class Point:
    """A point of a checklist, and what to look for there."""

    point: str
    look: str


@cache
def _table(name: str) -> Mapping[str, Any]:
    text = (files("ropewright.web.gear") / name).read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind by its name, family by family."""
    table = dict(_table("kinds.toml"))
    table.pop("families")
    left_out = table.pop("left-out")
    found = {
        kind.name: Kind(kind.name, kind.family, kind.summary, _list_for(kind.name, kind.family), True)
        for kind in catalogue().values()
        if kind.family not in left_out["families"] and kind.name not in left_out["types"]
    }
    return found | {
        name: Kind(name, own["family"], own["summary"], own["checklist"], False)
        for name, own in table.items()
    }


def kind_of(name: str) -> Kind:
    """A kind by its name; one that is no longer known counts as other gear, so that its record opens."""
    return kinds().get(name) or Kind(name, "other", "a type that the catalogue no longer has", "other", False)


def families() -> Mapping[str, str]:
    """What families are called, by their names."""
    words: Mapping[str, str] = _table("kinds.toml")["families"]
    return words


def types_of_family(family: str) -> list[str]:
    """The names of a family's types."""
    return [kind.name for kind in kinds().values() if kind.family == family]


def words_for_gear() -> frozenset[str]:
    """Every word that the policy may have an interval for: types, their checklists, families."""
    return frozenset(
        word for kind in kinds().values() for word in (kind.name, kind.checklist, kind.family)
    ) | frozenset(families())


def _list_for(name: str, family: str) -> str:
    lists = _table("checklists.toml")
    for key, entry in lists.items():
        if name in entry["types"]:
            return key
    return next((key for key, entry in lists.items() if family in entry["families"]), "other")


def checklist_of(name: str) -> tuple[Point, ...]:
    """What is looked at on an item of a type."""
    return tuple(Point(**entry) for entry in _table("checklists.toml")[kind_of(name).checklist]["points"])


def checklist_title(name: str) -> str:
    """What the list for a type is called."""
    return str(_table("checklists.toml")[kind_of(name).checklist]["title"])
