"""Whom the figures under `assume` count for: each thing of a rig with the figures that are stated of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ropewright.catalogue import Catalogue
from ropewright.quantity import Range
from ropewright.rig.model import Rig

__all__ = ["Shared", "Thing", "shared_figures", "stated_of", "things"]


class Thing(NamedTuple):
    """Something that has figures: the part it belongs to, what it is of it ("" for itself), and its type."""

    part: str
    role: str
    type: str

    def __str__(self) -> str:
        """Write it as in `what joins twin`."""
        return f"{self.role} {self.part}".strip()

    @property
    def own_name(self) -> bool:
        """Whether figures may be stated of it by the name of its part, too."""
        return self.role not in ("what joins", "a knot of", "what is worn by")


class Shared(NamedTuple):
    """A name under `assume` that is a part's and a type's, and what else its figures count for."""

    name: str
    line: int
    others: tuple[str, ...]


def things(rig: Rig) -> Iterator[Thing]:
    """Everything of a rig that is of a type."""
    for load in rig.loads.values():
        if load.wears:
            yield Thing(load.name, "what is worn by", load.wears)
    for place in rig.points.values():
        yield Thing(place.name, "", place.protection or place.surface or "")
    for item in rig.gear.values():
        yield Thing(item.name, "", item.type)
        for join in dict.fromkeys(item.via):
            yield Thing(item.name, "what joins", join)
    for rope in rig.ropes.values():
        yield Thing(rope.name, "", rope.type)
        for knot in dict.fromkeys(contact.knot for contact in rope.run):
            if knot:
                yield Thing(rope.name, "a knot of", knot)


def stated_of(rig: Rig) -> Mapping[Thing, Mapping[str, Range]]:
    """Each thing with what the file states of it; its own name comes before its type's."""
    return {
        each: {
            **rig.assume.get(each.type, {}),
            **(rig.assume.get(each.part, {}) if each.own_name else {}),
        }
        for each in things(rig)
    }


def shared_figures(rig: Rig, catalogue: Catalogue) -> Iterator[Shared]:
    """The parts named as a type whose figures under `assume` count for something else of that type, too."""
    parts = {part.name: part for part in rig.parts()}
    for name, figures in rig.assume.items():
        if name not in parts or name not in catalogue:
            continue
        others = tuple(
            str(each)
            for each in things(rig)
            if each.type == name
            and not (each.part == name and each.own_name)
            and (not each.own_name or figures.keys() - rig.assume.get(each.part, {}).keys())
        )
        if others:
            yield Shared(name, parts[name].line, others)
