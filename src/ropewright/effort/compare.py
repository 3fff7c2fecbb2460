"""Which of several rigs is the least that everybody can work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ropewright.effort.outlook import LIMITS, Outlook, RigAnswer

__all__ = ["Least", "least_rig"]


@dataclass(frozen=True)
class Least:
    """The least rig, None where no rig does for all. ``sure``: everybody's answer is yes; otherwise
    ``doubtful`` are those for whom it is maybe. ``fails`` says for each rig who can't work it.
    """

    chosen: RigAnswer | None
    sure: bool
    doubtful: tuple[Outlook, ...]
    fails: tuple[tuple[RigAnswer, tuple[Outlook, ...]], ...]


def least_rig(answers: Sequence[RigAnswer]) -> Least:
    """Least gear first, then fewest components, then least rope through the hands for each metre."""
    in_order = sorted(answers, key=_size)
    fails = tuple((a, tuple(o for o in a.outlooks if o.verdict in LIMITS)) for a in answers)
    for a in in_order:
        if a.worst == "yes":
            return Least(a, True, (), fails)
    for a in in_order:
        if a.worst == "maybe":
            return Least(a, False, tuple(o for o in a.outlooks if o.verdict == "maybe"), fails)
    return Least(None, False, (), fails)


def _size(a: RigAnswer) -> tuple[int, int, float]:
    return a.gear, len(a.prepared.components), a.rope_per_metre
