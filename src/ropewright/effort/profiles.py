"""What each role of a roster does; what people can pull, hold and keep up stands in the catalogue."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from ropewright.catalogue.profiles import Profile, load_profiles, profile

__all__ = ["Profile", "Role", "load_profiles", "load_roles", "profile", "role_named"]

_DATA = Path(__file__).parent / "data"


@dataclass(frozen=True, slots=True)
class Role:
    """A role of a roster: may somebody in it be put on the ``rope``, and is he or she counted among those
    that haul.
    """

    name: str
    rope: bool
    hauls: bool


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
