"""Which parts of a rig hang together: what shares a rope, gear, a place, a load or a crew is one lane."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from ropewright.rig import Motion, Rig

from .components import Component
from .figures import Figures

__all__ = ["Lane", "lane_at", "lane_of", "lanes"]


@dataclass(frozen=True)
class Lane:
    """One lane as a rig of its own, with its own look-up of figures: what is asked of it is what it would be
    asked alone in a file. Places that no lane uses, such as the ground, are in every one.
    """

    rig: Rig
    figures: Figures
    number: int

    def own(self, parts: Iterable[Component], at: Mapping[str, int]) -> tuple[Component, ...]:
        """Those components that are of this lane, ``at`` being the lane of each part."""
        return tuple(part for part in parts if at.get(part.part, self.number) == self.number)


def lane_of(rig: Rig) -> dict[str, int]:
    """The lane of every part that is in one, numbered from 0 in the order of the loads; a part that hangs
    together with no load has −1, and a place that nothing uses has none.
    """
    root = {part.name: part.name for part in rig.parts()}

    def top(name: str) -> str:
        while root[name] != name:
            root[name] = root[root[name]]
            name = root[name]
        return name

    used = set()
    for rope in rig.ropes.values():
        for contact in rope.run:
            if contact.target is not None:
                used.add(contact.target)
                root[top(contact.target)] = top(rope.name)
    for item in rig.gear.values():
        if isinstance(item.at, str):
            used.add(item.at)
            root[top(item.at)] = top(item.name)
    numbers: dict[str, int] = {}
    for load in rig.loads:
        numbers.setdefault(top(load), len(numbers))
    idle = {name for name in rig.points if name not in used}
    return {name: numbers.get(top(name), -1) for name in root if name not in idle}


def lanes(rig: Rig, figures: Figures) -> tuple[Lane, ...]:
    """Each lane as a rig of its own; what hangs together with no load comes last, all of it as one.

    Found once for a rig and its figures.
    """

    def made() -> tuple[Lane, ...]:
        at = lane_at(rig, figures)
        numbers = sorted({at[load] for load in rig.loads})
        if -1 in at.values():
            numbers.append(-1)
        return tuple(Lane(_only(rig, at, k), Figures(rig, figures.catalogue), k) for k in numbers)

    return figures.kept(rig, "lanes", made)


def lane_at(rig: Rig, figures: Figures) -> Mapping[str, int]:
    """`lane_of`, found once for a rig and its figures."""
    return figures.kept(rig, "lane of", lambda: lane_of(rig))


def _only(rig: Rig, at: Mapping[str, int], number: int) -> Rig:
    def kept(name: str) -> bool:
        return at.get(name, number) == number

    def motion(asked: Motion | None) -> Motion | None:
        return asked if asked is not None and kept(asked.load) else None

    return replace(
        rig,
        points={name: part for name, part in rig.points.items() if kept(name)},
        loads={name: part for name, part in rig.loads.items() if kept(name)},
        crews={name: part for name, part in rig.crews.items() if kept(name)},
        gear={name: part for name, part in rig.gear.items() if kept(name)},
        ropes={name: part for name, part in rig.ropes.items() if kept(name)},
        haul=motion(rig.haul),
        lower=motion(rig.lower),
    )
