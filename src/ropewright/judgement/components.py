"""The single things that can fail in a rig, and the words for them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ropewright.catalogue import Catalogue
from ropewright.rig import Rig

ComponentKind = Literal["rope", "tie", "gear", "sheave", "join", "anchor", "hand"]


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
    def key(self) -> tuple[str, str, int]:
        """What makes it this one and no other."""
        return (self.kind, self.part, self.index)


def joins_of(rig: Rig, gear: str) -> tuple[str, ...]:
    """The types that join a piece of gear to its place; one locking carabiner where the file says nothing."""
    item = rig.gear[gear]
    if not isinstance(item.at, str):
        return ()
    return item.via or ("carabiner-locking",)


def components(rig: Rig, catalogue: Catalogue) -> tuple[Component, ...]:
    """Every component of a rig, in the order of the file: anchors, gear with its sheaves and joins, ropes
    with their ties, hands.
    """
    out: list[Component] = []
    used = _used_places(rig)
    for place in rig.points.values():
        if place.name in used:
            out.append(Component("anchor", place.name, 0, place.name, place.line))
    for item in rig.gear.values():
        out.append(Component("gear", item.name, 0, item.name, item.line))
        kind = catalogue.get(item.type)
        if kind is not None and kind.sheaves > 1:
            for k in range(1, kind.sheaves + 1):
                out.append(Component("sheave", item.name, k, f"sheave {k} of {item.name}", item.line))
        joins = joins_of(rig, item.name)
        for k, join in enumerate(joins, 1):
            which = f" {k}" if len(joins) > 1 else ""
            out.append(Component("join", item.name, k, f"{join}{which} of {item.name}", item.line))
    for rope in rig.ropes.values():
        out.append(Component("rope", rope.name, 0, f"rope {rope.name}", rope.line))
        for k, contact in enumerate(rope.run):
            if contact.verb == "tie":
                knot = contact.knot or "knot"
                out.append(
                    Component("tie", rope.name, k, f"{knot} of {rope.name} at {contact.target}", contact.line)
                )
            elif contact.verb == "hand":
                out.append(
                    Component("hand", rope.name, k, f"hand of {contact.target} on {rope.name}", contact.line)
                )
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
