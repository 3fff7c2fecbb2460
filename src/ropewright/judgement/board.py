"""The whiteboard of a rig file's motion: its trace in the file's own names, and the same reeving pulled by
someone else.
"""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.mechanics import Motion, StuckError, System, move
from ropewright.mechanics.count import count
from ropewright.mechanics.variants import pulled_by_load, pulled_from_ground

from .assemble import Assembly
from .moved import Moved
from .trace import Trace, trace

__all__ = ["Board", "RigNames", "Variants", "board", "variants"]


@dataclass(frozen=True, slots=True)
class RigNames:
    """What points and contacts are called in the rig file."""

    assembly: Assembly

    def node(self, node: int) -> str:
        """The part at the root of what is joined at a point."""
        return self.assembly.system.names[node]

    def contact(self, contact: int) -> str:
        """The contact as the run has it, without knots and slack: `through twin.1`."""
        wire = self.assembly.wires[contact].contact
        item = self.assembly.rig.gear.get(wire.target or "")
        sheaves = self.assembly.figures.catalogue[item.type].sheaves if item else 0
        which = f".{wire.sheave}" if sheaves > 1 and wire.verb == "through" else ""
        return " ".join(word for word in (wire.verb, f"{wire.target or ''}{which}") if word)


@dataclass(frozen=True, slots=True)
class Variants:
    """The count when the load pulls on its own rig, and when someone on the ground does; None where that
    can't be.
    """

    climber: str | None
    ground: str | None


@dataclass(frozen=True)
class Board:
    """A trace, who is lifted how, and the same reeving otherwise pulled."""

    trace: Trace
    variants: Variants

    @property
    def counted(self) -> str | None:
        """The count, as `3:1`; None where there is none."""
        return None if self.trace.counted.ratio is None else self.trace.counted.label


def board(moved: Moved) -> Board:
    """The board of a motion, with the advantage of the load alone: gear weighs, but is no load."""
    advantage = (moved.ideal, moved.actual.likely)
    written = trace(moved.motion, RigNames(moved.assembly), advantage)
    return Board(written, variants(moved.assembly, moved.motion))


def variants(assembly: Assembly, motion: Motion) -> Variants:
    """Counts of a haul pulled by the load itself and from the ground; a lowering has none."""
    if motion.direction < 0:
        return Variants(None, None)
    own = _label(count(motion).label)
    name = next((n for n, load in assembly.rig.loads.items() if assembly.node[n] == assembly.system.load), "")
    from_ground = pulled_from_ground(assembly.system)
    if from_ground is not None:
        return Variants(own, _counted(from_ground))
    person = name in assembly.rig.loads and assembly.rig.loads[name].kind == "person"
    by_load = pulled_by_load(assembly.system) if person else None
    return Variants(None if by_load is None else _counted(by_load), own)


def _counted(system: System) -> str | None:
    try:
        return _label(count(move(system, 1)).label)
    except StuckError:
        return None


def _label(label: str) -> str | None:
    return label if ":" in label else None
