"""Which of several rigs is the least that everybody can work, where they do the same job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ropewright.effort.outlook import LIMITS, Outlook, RigAnswer
from ropewright.quantity import Range

__all__ = ["Difference", "Least", "least_rig"]

ALIKE = 0.01
"""Share by which a load or a height may differ and still be called the same: rounding in a file."""

What = Literal["load", "haul", "lower"]


@dataclass(frozen=True)
class Difference:
    """In what jobs differ. ``each``: rigs of one figure together, the figure first.

    The figure is in kg for the load, None where each of the list takes the load's place; in m for a haul or a
    lowering, None where there is none.
    """

    what: What
    each: tuple[tuple[float | None, tuple[RigAnswer, ...]], ...]

    @property
    def times(self) -> float | None:
        """How many times the least figure the greatest is; None where one of them is none."""
        figures = [figure for figure, _ in self.each if figure]
        return max(figures) / min(figures) if len(figures) == len(self.each) else None


@dataclass(frozen=True)
class Least:
    """Which rig is the least. ``does``: those that everybody can work, the least first; if there are none,
    those that nobody fails. ``sure``: everybody's answer is yes. ``fails``: for each rig who can't work it.
    ``differs`` says in what the jobs differ; then none of the rigs is the least.
    """

    does: tuple[RigAnswer, ...]
    sure: bool
    fails: tuple[tuple[RigAnswer, tuple[Outlook, ...]], ...]
    differs: tuple[Difference, ...]

    @property
    def chosen(self) -> RigAnswer | None:
        """The least rig; None where no rig does for all, and where the jobs differ."""
        return self.does[0] if self.does and not self.differs else None

    @property
    def doubtful(self) -> tuple[Outlook, ...]:
        """Those for whom the least rig is a maybe."""
        chosen = self.chosen
        return () if chosen is None else tuple(o for o in chosen.outlooks if o.verdict == "maybe")


def least_rig(answers: Sequence[RigAnswer]) -> Least:
    """Least gear first, then fewest components, then least rope through the hands for each metre."""
    in_order = sorted(answers, key=_size)
    fails = tuple((a, tuple(o for o in a.outlooks if o.verdict in LIMITS)) for a in answers)
    yes = tuple(a for a in in_order if a.worst == "yes")
    maybe = tuple(a for a in in_order if a.worst == "maybe")
    return Least(yes or maybe, bool(yes), fails, _differences(answers))


def _size(a: RigAnswer) -> tuple[int, int, float]:
    return a.gear, len(a.prepared.components), a.rope_per_metre


def _differences(answers: Sequence[RigAnswer]) -> tuple[Difference, ...]:
    out = list[Difference]()
    whats: tuple[What, ...] = ("load", "haul", "lower")
    for what in whats:
        groups: list[tuple[Range | None, list[RigAnswer]]] = []
        for a in answers:
            figure = _figure(a, what)
            found = next((alike for first, alike in groups if _alike(first, figure)), None)
            if found is None:
                groups.append((figure, [a]))
            else:
                found.append(a)
        if len(groups) > 1:
            out.append(
                Difference(
                    what, tuple((None if f is None else f.likely, tuple(alike)) for f, alike in groups)
                )
            )
    return tuple(out)


def _figure(a: RigAnswer, what: What) -> Range | None:
    rig = a.prepared.rig
    if what == "load":
        load = rig.loads.get(a.prepared.load or "")
        return load.mass if load is not None and a.of_load else None
    asked = rig.haul if what == "haul" else rig.lower
    return None if asked is None else Range(asked.distance, asked.distance, asked.distance)


def _alike(one: Range | None, other: Range | None) -> bool:
    if one is None or other is None:
        return one is other
    return all(
        abs(a - b) <= ALIKE * max(abs(a), abs(b))
        for a, b in ((one.low, other.low), (one.likely, other.likely), (one.high, other.high))
    )
