"""What helps a hand to hold a rope: without any of it a hand holds no person, however it grips."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ropewright.rig import Rig

from .components import Key, joined_by
from .contacts import taken_by

__all__ = ["Helped", "helped_hands", "without_help"]

Helped = dict[Key, tuple[frozenset[Key], ...]]
"""Each hand at the end of a rope, with what has to be there for each thing that helps it."""


def helped_hands(rig: Rig) -> Helped:
    """The hands of a rig, each with the devices and sheaves that its rope runs through and that stay in place
    on a point, on a load or a crew, or on a grab that another rope holds.
    """
    out: Helped = {}
    for rope in rig.ropes.values():
        last = len(rope.run) - 1
        if rope.run[last].verb == "hand":
            out["hand", rope.name, last] = tuple(_helps(rig, rope.name))
    return out


def without_help(helped: Helped, gone: Collection[Key]) -> frozenset[Key]:
    """The hands that nothing helps any more once components are ``gone``."""
    lost = frozenset(gone)
    return frozenset(hand for hand, helps in helped.items() if not any(map(lost.isdisjoint, helps)))


def _helps(rig: Rig, rope: str) -> Iterator[frozenset[Key]]:
    for k, contact in enumerate(rig.ropes[rope].run):
        if contact.verb == "through" and contact.target is not None:
            stands = _stands_by(rig, rope, contact.target)
            if stands is not None:
                yield stands.union(taken_by(rig, rope, k, contact))


def _stands_by(rig: Rig, rope: str, part: str) -> frozenset[Key] | None:
    """What keeps a part where it is while a rope pulls on it; None for what only hangs in that rope."""
    keys = set[Key]()
    while part in rig.gear:
        item = rig.gear[part]
        if not isinstance(item.at, str):
            holds = next(_held_by_another(rig, rope, part), None)
            return None if holds is None else frozenset({*keys, *holds})
        keys.update(joined_by(rig, part))
        part = item.at
    return frozenset({*keys, ("anchor", part, 0)} if part in rig.points else keys)


def _held_by_another(rig: Rig, rope: str, part: str) -> Iterator[tuple[Key, ...]]:
    """What keeps gear that rides on ropes by another rope than the one that runs through it."""
    for other in rig.ropes.values():
        if other.name != rope:
            for k, contact in enumerate(other.run):
                if contact.target == part and contact.verb in ("tie", "grip"):
                    yield ("rope", other.name, 0), *taken_by(rig, other.name, k, contact)
