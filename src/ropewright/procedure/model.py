"""A procedure as it stands in its file: people, gear brought along, and steps in the trade's words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ropewright.rig import Gear, Point, Rig, Rope

__all__ = ["CHECKS", "Person", "Procedure", "Step"]

CHECKS = ("check", "inch-test", "whistle-test", "critical-point-test")
"""Verbs that look at the rig and change nothing."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who does steps: a load or a crew of the rig, or one who stands at a place (``at``)."""

    name: str
    role: str = ""
    at: str = ""
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a procedure.

    ``verb`` says what is done; the other fields are its words, empty where the line has none: ``gear``,
    ``rope``, ``part`` (what it is clipped, tied or compared to), ``load``, ``sheave`` from 1, ``via`` types
    of joins, ``knot``, ``by`` [m], ``way`` ("up", "down", "in", "out", "tight", "level"), ``beside`` and
    ``side`` ("above", "below", "in front of" towards the load, "behind") where on a rope, ``slack`` [m],
    ``reversed`` put on the wrong way round, ``locked`` gate locked in the same breath, ``to`` a place [m],
    ``names`` what a check looks at, ``word`` what is called.
    """

    doer: str
    verb: str
    gear: str = ""
    rope: str = ""
    part: str = ""
    load: str = ""
    sheave: int = 1
    via: tuple[str, ...] = ()
    knot: str = ""
    by: float | None = None
    way: str = ""
    beside: str = ""
    side: str = ""
    slack: float = 0.0
    reversed: bool = False
    locked: bool = False
    to: Point | None = None
    names: tuple[str, ...] = ()
    word: str = ""
    text: str = field(default="", compare=False)
    line: int = field(default=0, compare=False)

    @property
    def is_check(self) -> bool:
        """Whether the step only looks."""
        return self.verb in CHECKS

    @property
    def is_call(self) -> bool:
        """Whether the step is only said."""
        return self.verb == "call"


@dataclass(frozen=True, slots=True)
class Procedure:
    """A whole procedure: the starting rig with the file's own ``assume`` and ``policy`` in it, and the steps.

    ``kit`` and ``spare`` are gear and ropes brought along, not rigged yet; ``stands`` says which load stands
    where at the start; ``words`` are the team's own words for what is called; ``given``, ``minutes`` and
    ``attempts`` go on the skill sheet.
    """

    name: str
    about: str
    rig: Rig
    rig_file: str
    people: Mapping[str, Person]
    kit: Mapping[str, Gear]
    spare: Mapping[str, Rope]
    stands: Mapping[str, str]
    words: Mapping[str, str]
    steps: tuple[Step, ...]
    given: str = ""
    minutes: int | None = None
    attempts: int | None = None
    level: str = ""
    standard: str = ""
    stop_rules: tuple[str, ...] = ()
