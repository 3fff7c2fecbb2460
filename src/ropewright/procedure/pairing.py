"""Whether a way can lead from one rig to another at all, and gear that is brought along for it."""

from __future__ import annotations

from collections.abc import Iterable

from ropewright.catalogue import Catalogue
from ropewright.catalogue.model import Family
from ropewright.rig import Gear, Rig
from ropewright.rig.fields import is_name

__all__ = ["ABOUT", "CARRIED", "extra_gear", "unlike"]

ABOUT = 1.0
"""Difference in a load's drawn height [m] up to which two rigs count as at the same place."""
CARRIED: tuple[Family, ...] = ("grab", "device", "pulley", "join")
"""Families of gear that may be brought along."""


def unlike(first: Rig, last: Rig) -> str:
    """What differs between two rigs that no step could change, in words; nothing where none does."""
    for name, place in first.points.items():
        other = last.points.get(name)
        if other is not None and other.at != place.at:
            return f"where {name} is"
    for section in ("gear", "ropes"):
        for name, part in getattr(first, section).items():
            other = getattr(last, section).get(name)
            if other is not None and other.type != part.type:
                return f"{name}, a {part.type}, into a {other.type}"
    for name, load in first.loads.items():
        if abs(load.at[2] - last.loads[name].at[2]) > ABOUT:
            return f"the height of {name}, drawn at {load.at[2]:.1f} m and {last.loads[name].at[2]:.1f} m"
    return ""


def extra_gear(words: Iterable[str], catalogue: Catalogue, first: Rig, last: Rig) -> list[Gear]:
    """Gear written as `NAME=TYPE`, each with a name that neither rig has.

    Errors: ValueError with one sentence that says what would be right.
    """
    out = []
    taken = {part.name for rig in (first, last) for part in rig.parts()}
    for word in words:
        name, _, kind = word.partition("=")
        family = catalogue[kind].family if kind in catalogue else ""
        if not is_name(name) or family not in CARRIED:
            near = catalogue.nearest(kind)
            did = f" Did you mean {near}?" if near else ""
            raise ValueError(f"found `{word}`; write NAME=TYPE with a catalogue type.{did}")
        if name in taken:
            raise ValueError(f"`{name}` is a name of the rigs already")
        out.append(Gear(name, kind))
        taken.add(name)
    return out
