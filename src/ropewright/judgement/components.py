"""The single things that can fail in a rig, and the words for them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from ropewright.catalogue import Catalogue
from ropewright.rig import Rig

ComponentKind = Literal["rope", "tie", "gear", "sheave", "join", "anchor", "hand"]

Key = tuple[str, str, int]
"""Kind, part and index of a component."""


@dataclass(frozen=True, slots=True)
class Component:
    """One thing that can fail.

    ``part`` is its name in the rig file, ``index`` the contact, sheave or join meant.
    """

    kind: ComponentKind
    part: str
    index: int = 0
    label: str = ""
    line: int = 0

    @property
    def key(self) -> Key:
        """What makes it this one and no other."""
        return (self.kind, self.part, self.index)


def joins_of(rig: Rig, gear: str) -> tuple[str, ...]:
    """The types that join a piece of gear to its place; one locking carabiner where the file says nothing."""
    item = rig.gear[gear]
    if not isinstance(item.at, str):
        return ()
    return item.via or ("carabiner-locking",)


def named_joins(rig: Rig, gear: str) -> list[tuple[int, str, str]]:
    """What joins a piece of gear to its place: number from 1, type, and what it is called."""
    joins = joins_of(rig, gear)
    return [(k, j, f"{j}{f' {k}' if len(joins) > 1 else ''} of {gear}") for k, j in enumerate(joins, 1)]


def joined_by(rig: Rig, gear: str) -> tuple[Key, ...]:
    """The components that all have to be there for a piece of gear to be joined to its place; none where it
    is clipped to nothing.
    """
    place = rig.gear[gear].at
    if not isinstance(place, str):
        return ()
    joins = (("join", gear, k) for k in range(1, len(joins_of(rig, gear)) + 1))
    return (("gear", gear, 0), ("gear", place, 0), *joins)


def components(rig: Rig, catalogue: Catalogue) -> tuple[Component, ...]:
    """Every component of a rig, anchors, gear with its parts, ropes, ties, hands."""
    used = _used_places(rig)
    out = [Component("anchor", p.name, 0, p.name, p.line) for p in rig.points.values() if p.name in used]
    for item in rig.gear.values():
        out += [Component("gear", item.name, 0, item.name, item.line)]
        kind = catalogue.get(item.type)
        sheaves = kind.sheaves if kind is not None and kind.sheaves > 1 else 0
        out += [
            Component("sheave", item.name, k, f"sheave {k} of {item.name}", item.line)
            for k in range(1, sheaves + 1)
        ]
        out += [
            Component("join", item.name, k, label, item.line) for k, _, label in named_joins(rig, item.name)
        ]
    for rope in rig.ropes.values():
        out += [Component("rope", rope.name, 0, f"rope {rope.name}", rope.line)]
        for k, contact in enumerate(rope.run):
            if contact.verb == "tie":
                knot = contact.knot or "knot"
                label = f"{knot} of {rope.name} at {contact.target}"
                out += [Component("tie", rope.name, k, label, contact.line)]
            elif contact.verb == "hand":
                label = f"hand of {contact.target} on {rope.name}"
                out += [Component("hand", rope.name, k, label, contact.line)]
    return tuple(out)


def _used_places(rig: Rig) -> set[str]:
    """Places that something is made fast to; an edge only if gear hangs on it or rope is tied to it."""
    used = {
        c.target
        for rope in rig.ropes.values()
        for c in rope.run
        if c.verb in ("tie", "through", "grip") and c.target
    }
    used |= {item.at for item in rig.gear.values() if isinstance(item.at, str)}
    return {name for name in used if name in rig.points}


def no_life_support(rig: Rig, catalogue: Catalogue, parts: Iterable[Component]) -> tuple[Component, ...]:
    """The ropes and gear of a type that is not meant to hold people, such as foot loops."""
    types = {("rope", r.name): r.type for r in rig.ropes.values()}
    types |= {("gear", g.name): g.type for g in rig.gear.values()}
    found = [(part, types.get((part.kind, part.part))) for part in parts]
    return tuple(part for part, kind in found if kind and not catalogue[kind].holding.life_support)


def holding_nobody(rig: Rig, catalogue: Catalogue, parts: Iterable[Component]) -> tuple[Component, ...]:
    """What holds nobody where somebody hangs, whatever it would bear; nothing where only things hang."""
    hangs = any(load.kind in ("person", "litter") for load in rig.loads.values())
    return no_life_support(rig, catalogue, parts) if hangs else ()
