"""Where the parts of a starter rig stand: under a beam, or behind an edge."""

from dataclasses import dataclass
from typing import Literal

from ropewright.quantity import Range, System, read_quantity, write_quantity
from ropewright.rig.model import Crew, Place, Point

__all__ = ["FOOT", "HIGHEST", "LOWEST", "Answers", "Site", "StarterKind"]

StarterKind = Literal[
    "self-haul", "ascent-clamps", "haul-2-1", "haul-3-1", "haul-5-1", "haul-9-1", "lower", "descent",
    "main-and-second", "two-tensioned", "anchor-legs",
]  # fmt: skip

FOOT = 0.3048  # m
LOWEST, HIGHEST = 4.0, 300.0  # m; lower there is no room for a stroke, higher no rope is long enough
SET_BACK = 9.0  # m from the edge to the anchors
BESIDE = 0.3  # m between two anchors
WALK = 5.0  # m from the anchors to the crew


@dataclass(frozen=True, slots=True)
class Answers:
    """What somebody who starts a rig file says about it, in SI; what is left out gets a usual value.

    mass [kg]; height of the anchors [m]; strength of each anchor [N], not known when left out.
    """

    kind: StarterKind
    mass: Range | None = None
    height: float | None = None
    units: System = "metric"
    surface: str | None = None
    protection: str | None = None
    people: int | None = None
    legs: int = 2
    strength: Range | None = None


@dataclass(frozen=True, slots=True)
class Site:
    """The places of a rig. Anchors are numbered; each has a lip of its own where there is an edge."""

    answers: Answers

    @property
    def has_edge(self) -> bool:
        """Whether the rope runs over an edge."""
        return self.answers.surface is not None

    def round(self, metres: float) -> float:
        """Round a length to what somebody would write in the file's units, in metres."""
        if self.answers.units == "us":
            return round(metres / FOOT * 2) / 2 * FOOT
        return round(metres, 1)

    def at(self, x: float, z: float, y: float = 0.0) -> Point:
        """Give a place in round numbers of the file's units."""
        return (self.round(x), self.round(y), self.round(z))

    @property
    def top(self) -> float:
        """The height of the anchors, or of the edge in front of them [m]."""
        return self.round(self.answers.height or (40 * FOOT if self.answers.units == "us" else 12.0))

    @property
    def mass(self) -> Range:
        """The mass of what hangs [kg]."""
        us = self.answers.units == "us"
        return self.answers.mass or read_quantity(220 if us else 100, "mass", self.answers.units)

    def slack(self, metres: float) -> str:
        """Write slack as it stands behind a contact, in round numbers of the file's units."""
        return f"slack {write_quantity(Range.exactly(self.round(metres)), 'length', self.answers.units)}"

    def anchor(self, number: int) -> Place:
        """Give the anchor of that number; they stand side by side."""
        away = BESIDE * number
        at = self.at(SET_BACK, self.top, away) if self.has_edge else self.at(away, self.top)
        return Place(f"anchor-{number + 1}", "anchor", at, self.answers.strength)

    def lip(self, number: int) -> Place:
        """Give the edge in front of an anchor."""
        at = self.at(0.0, self.top, BESIDE * number)
        return Place(f"lip-{number + 1}", "edge", at, None, self.answers.surface, self.answers.protection)

    def over(self, number: int) -> tuple[str, ...]:
        """Give the contact at the edge, or nothing where there is none."""
        return (f"over lip-{number + 1}",) if self.has_edge else ()

    def places(self, anchors: int, lips: tuple[int, ...]) -> dict[str, Place]:
        """Give all fixed places of a rig with so many anchors, and the lips that ropes run over."""
        places = [self.anchor(number) for number in range(anchors)]
        if self.has_edge:
            places += [self.lip(number) for number in lips]
        places.append(Place("floor", "ground", self.at(0.0, 0.0)))
        return {place.name: place for place in places}

    def hanging(self, share: float, below: float = 0.0) -> Point:
        """Give a place on the hanging part of the rope, at a share of the height or metres below that."""
        return self.at(0.0, self.round(share * self.top) - below)

    def running(self, share: float, number: int = 0) -> Point:
        """Give a place for a grab, at that share of the way from the load's reach to the anchor."""
        if self.has_edge:
            return self.at(1.0 + share * (SET_BACK - 1.0), self.top, BESIDE * number)
        return self.at(BESIDE * number, (0.1 + 0.9 * share) * self.top)

    def crew(self, name: str, people: int, side: int = 1) -> Crew:
        """Give people in line with the rope; those of a second line stand apart."""
        if self.has_edge:
            return Crew(name, self.at(SET_BACK + WALK, self.top, 0.0 if side > 0 else 2.0), people)
        return Crew(name, self.at(side * WALK, self.top), people)
