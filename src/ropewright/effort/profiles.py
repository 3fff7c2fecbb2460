"""What people can pull, hold and keep up: figures with their sources, and what each role does."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from ropewright.quantity import Range, read_quantity

__all__ = ["Profile", "Role", "load_profiles", "load_roles", "profile", "role_named"]

_DATA = Path(__file__).parent / "data"


@dataclass(frozen=True, slots=True)
class Profile:
    """One figure in SI: ``unit`` is N, m, W or nothing for a share; ``confidence`` a letter as in the
    catalogue, A where nothing was measured.
    """

    name: str
    value: Range
    unit: str
    source: str
    confidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Role:
    """A role of a roster: may somebody in it be put on the ``rope``, and is he or she counted among those
    that haul.
    """

    name: str
    rope: bool
    hauls: bool


@cache
def load_profiles() -> Mapping[str, Profile]:
    """Every effort figure by name."""
    tables: dict[str, dict[str, Any]] = tomllib.loads((_DATA / "profiles.toml").read_text("utf-8"))
    return {
        name: Profile(
            name,
            read_quantity(entry["value"], "share"),
            entry["unit"],
            entry["source"],
            entry["confidence"],
            entry.get("note", ""),
        )
        for name, entry in tables.items()
    }


def profile(name: str) -> Range:
    """The figure of one profile, in SI."""
    return load_profiles()[name].value


@cache
def load_roles() -> Mapping[str, Role]:
    """Every role by each of its names."""
    out: dict[str, Role] = {}
    for name, entry in tomllib.loads((_DATA / "roles.toml").read_text("utf-8")).items():
        role = Role(name, entry["rope"], entry["hauls"])
        out |= dict.fromkeys((name, *entry["also"]), role)
    return out


def role_named(word: str) -> Role | None:
    """The role that a word means, whatever its case, hyphens and underscores; None where none does."""
    return load_roles().get(" ".join(word.replace("-", " ").replace("_", " ").lower().split()))
