"""A rig as it stands in a rig file: frozen parts in SI units, each with the line that it was read from.

Frame: right-handed, x to the right, y away from the viewer, z up; metres. Two rigs are equal when the same
things are rigged: lines and the wording of contacts don't count.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from ropewright.quantity import Range, System

__all__ = [
    "Contact",
    "Crew",
    "Gear",
    "GearState",
    "Load",
    "LoadKind",
    "Motion",
    "Part",
    "Place",
    "PlaceKind",
    "Point",
    "PolicyValue",
    "Rig",
    "Rope",
    "TeamPolicy",
    "Verb",
]

Point = tuple[float, float, float]
PlaceKind = Literal["anchor", "edge", "stand", "ground"]
LoadKind = Literal["person", "litter", "pack", "object"]
GearState = Literal["running", "locked-off", "in-hand"]
Verb = Literal["tie", "grip", "through", "over", "hand", "tail"]
PolicyValue = float | int | bool | str


@dataclass(frozen=True, slots=True)
class TeamPolicy:
    """A team's rules: each with its value in SI (None asks for nothing) and where it came from."""

    name: str
    rules: Mapping[str, tuple[PolicyValue | None, str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Place:
    """A point fixed in the world [m]. `strength` [N] is None where nobody stated it."""

    name: str
    kind: PlaceKind
    at: Point
    strength: Range | None = None
    surface: str | None = None
    protection: str | None = None
    about: str = ""
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Load:
    """What hangs or moves: its mass [kg] and where it starts [m]. `wears` names a catalogue body type."""

    name: str
    kind: LoadKind
    mass: Range
    at: Point
    wears: str | None = None
    about: str = ""
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Crew:
    """People who pull at one place [m]. `pull` [N] is what each gives; `effort` the profile that it was named
    by, empty where it is a figure.
    """

    name: str
    at: Point
    people: int = 1
    pull: Range | None = None
    effort: str | None = None
    about: str = ""
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Gear:
    """A piece of gear.

    at: the name it is clipped to, a start [m] where it rides on rope, or None (found from its neighbours).
    via: the types of what joins it to its place, from the place outward; `over` names the edges they lie on.
    """

    name: str
    type: str
    at: str | Point | None = None
    via: tuple[str, ...] = ()
    state: GearState = "running"
    about: str = ""
    line: int = field(default=0, compare=False)
    over: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Contact:
    """One thing that a rope meets. `sheave` counts from 1; `slack` [m] is laid in the span that ends here."""

    verb: Verb
    target: str | None = None
    sheave: int = 1
    knot: str | None = None
    slack: float = 0.0
    reversed: bool = False
    line: int = field(default=0, compare=False)
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Rope:
    """A rope and its run, from the end that is made fast to the hand or the tail. `length` [m]."""

    name: str
    type: str
    length: float | None
    run: tuple[Contact, ...]
    about: str = ""
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Motion:
    """Which load is to be moved and how far [m], up for a haul and down for a lower; always positive."""

    load: str
    distance: float
    line: int = field(default=0, compare=False)


Part = Place | Load | Crew | Gear | Rope


@dataclass(frozen=True, slots=True)
class Rig:
    """Everything that a rig file says. `assume` and `policy` hold only what the file itself states, in SI;
    `team` holds the rules of whoever rigs it, which stand where the file states none.
    """

    rig: str
    about: str = ""
    units: System = "metric"
    points: Mapping[str, Place] = field(default_factory=dict)
    loads: Mapping[str, Load] = field(default_factory=dict)
    crews: Mapping[str, Crew] = field(default_factory=dict)
    gear: Mapping[str, Gear] = field(default_factory=dict)
    ropes: Mapping[str, Rope] = field(default_factory=dict)
    haul: Motion | None = None
    lower: Motion | None = None
    assume: Mapping[str, Mapping[str, Range]] = field(default_factory=dict)
    policy: Mapping[str, PolicyValue] = field(default_factory=dict)
    team: TeamPolicy | None = field(default=None, compare=False)

    def parts(self) -> Iterator[Part]:
        """Give every named part, section by section; no two share a name."""
        for section in (self.points, self.loads, self.crews, self.gear, self.ropes):
            yield from section.values()
