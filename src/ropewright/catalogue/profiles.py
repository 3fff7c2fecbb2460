"""What people can pull, hold and keep up: figures with their sources."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from ropewright.quantity import Range, read_quantity

__all__ = ["Profile", "load_profiles", "profile", "pulls"]

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


def pulls() -> tuple[str, ...]:
    """The names of the profiles that are forces, which a rig file may name for what each of a crew gives."""
    return tuple(each.name for each in load_profiles().values() if each.unit == "N")
