"""Small rigs built straight from points and contacts, for tests of the mechanics."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from ropewright.mechanics.model import Contact, Drag, Rope, System, drawn_lengths

STIFF = 40e3


@dataclass
class Rig:
    """Collects points and ropes; `build` gives the system."""

    names: list[str] = field(default_factory=list)
    at: list[tuple[float, float, float]] = field(default_factory=list)
    held: list[bool] = field(default_factory=list)
    mass: list[float] = field(default_factory=list)
    ropes: list[Rope] = field(default_factory=list)
    efficiency: float = 1.0

    def point(
        self, name: str, x: float, z: float, *, y: float = 0.0, fixed: bool = False, mass: float = 0.0
    ) -> int:
        self.names.append(name)
        self.at.append((x, y, z))
        self.held.append(fixed)
        self.mass.append(mass)
        return len(self.names) - 1

    def sheave(self) -> Drag:
        return Drag(0.0, -math.log(self.efficiency) / math.pi)

    def tie(self, node: int) -> Contact:
        return Contact(node, "both")

    def grab(self, node: int, *, reversed_: bool = False) -> Contact:
        return Contact(node, "forward" if reversed_ else "backward")

    def through(self, node: int) -> Contact:
        return Contact(node, "none", self.sheave(), self.sheave())

    def device(self, node: int, ratio: float = 15.0) -> Contact:
        return Contact(node, "backward", self.sheave(), Drag(math.log(ratio), 0.0), opens=True)

    def edge(self, node: int, mu: float) -> Contact:
        return Contact(node, "none", Drag(0.0, mu), Drag(0.0, mu))

    def hand(self, node: int) -> Contact:
        return Contact(node, end="hand")

    def tail(self, node: int) -> Contact:
        return Contact(node, end="tail")

    def rope(
        self,
        *contacts: Contact,
        slack: tuple[float, ...] = (),
        stiffness: float = STIFF,
        weight: float = 0.0,
        idle: bool = False,
    ) -> None:
        extra = slack or tuple(0.0 for _ in contacts[1:])
        laid = drawn_lengths(np.array(self.at), contacts, extra)
        self.ropes.append(Rope(f"rope{len(self.ropes)}", contacts, laid, stiffness, weight, idle))

    def build(self, load: str = "") -> System:
        return System(
            tuple(self.names),
            np.array(self.at, dtype=float),
            np.array(self.held),
            np.array(self.mass, dtype=float),
            tuple(self.ropes),
            self.names.index(load) if load else -1,
        )


def three_to_one(e: float = 1.0, mass: float = 100.0, gear: float = 0.0) -> System:
    """A 3:1 with its anchor above and the crew pulling straight up beside it."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=mass)
    grab = r.point("grab", 0, 5, mass=gear)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(r.tie(load), r.grab(grab), r.device(anchor), r.through(grab), r.hand(crew))
    return r.build("load")


def self_haul(e: float = 1.0, mass: float = 95.0, gear: float = 0.0) -> System:
    """One sheave above at a grab: the climber pulls down on the rope that holds him."""
    r = Rig(efficiency=e)
    beam = r.point("beam", 0, 9, fixed=True)
    climber = r.point("climber", 0, 1, mass=mass)
    handled = r.point("handled", 0, 3, mass=gear)
    r.rope(r.tie(beam), r.grab(handled), r.device(climber), r.through(handled), r.hand(climber))
    return r.build("climber")


def pulled_from_ground(e: float = 1.0, mass: float = 95.0) -> System:
    """The same reeving, the hand on the ground below."""
    r = Rig(efficiency=e)
    beam = r.point("beam", 0, 9, fixed=True)
    climber = r.point("climber", 0, 1, mass=mass)
    handled = r.point("handled", 0, 3)
    ground = r.point("ground", 0, -2, fixed=True)
    r.rope(r.tie(beam), r.grab(handled), r.device(climber), r.through(handled), r.hand(ground))
    return r.build("climber")


def nine_to_one(e: float = 1.0, mass: float = 100.0) -> System:
    """A 3:1 whose hauling end is pulled by another 3:1."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=mass)
    first = r.point("first", 0, 3)
    second = r.point("second", 0, 6)
    high = r.point("high", 0, 10, fixed=True)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(
        r.tie(load),
        r.grab(first),
        r.device(anchor),
        r.through(first),
        r.grab(second),
        r.through(high),
        r.through(second),
        r.hand(crew),
    )
    return r.build("load")
