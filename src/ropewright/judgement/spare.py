"""Rope behind a releasable anchor: what is laid there, and what it takes to lower somebody from it."""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.catalogue import Catalogue
from ropewright.rig import Contact, Rig, Rope

from .assemble import Assembly
from .ground import ground_below
from .policy import Policy

__all__ = ["ROUNDING", "Spare", "height_over_ground", "laid_to", "spares"]

ROUNDING = 0.01
"""Length [m] by which a rope may be short through rounding alone; no rope is measured closer."""


@dataclass(frozen=True, slots=True)
class Spare:
    """A device tied off at something fixed, from which the load on its rope can be let out.

    ``index``: of its contact in the run of ``rope``; ``load`` is what it would lower. ``laid`` [m]: what can
    go out through it, on the side away from the load, the slack laid there or all rope towards a free end;
    None where that hangs on a length that nobody said; ``slack`` [m] is the slack alone. ``height`` [m]: the
    load's way to the ground at its highest; ``needed`` [m]: that, or the policy's reserve where it is more.
    """

    rope: str
    device: str
    index: int
    load: str
    laid: float | None
    slack: float
    height: float
    needed: float
    line: int

    @property
    def enough(self) -> bool:
        """Whether it reaches; not where that is not known."""
        return self.laid is not None and self.laid >= self.needed - ROUNDING


def spares(rig: Rig, catalogue: Catalogue, assembly: Assembly, policy: Policy) -> tuple[Spare, ...]:
    """The first releasable anchor of each rope that leads from one to a load."""
    found = (_of(rig, catalogue, assembly, policy, rope) for rope in rig.ropes.values())
    return tuple(spare for spare in found if spare is not None)


def height_over_ground(rig: Rig, load: str) -> float:
    """The greatest height [m] over the ground that a load is at on its way, from which it may have to be
    lowered; without a ground drawn, as far as the file lowers it.
    """
    start = float(rig.loads[load].at[2])
    ground = ground_below(rig, start)
    up = rig.haul.distance if rig.haul else 0.0
    down = rig.lower.distance if rig.lower else 0.0
    return max(start - ground if ground is not None else down, down) + up


def laid_to(assembly: Assembly, rope: str, index: int) -> float:
    """Rope [m] laid before a contact of its run."""
    strands = assembly.system.strands
    starts = [assembly.strand_ends(k)[0] for k in range(len(strands))]
    return sum(float(strands.laid[k]) for k, w in enumerate(starts) if w.rope == rope and w.index < index)


def _of(rig: Rig, catalogue: Catalogue, assembly: Assembly, policy: Policy, rope: Rope) -> Spare | None:
    at_load = {assembly.node[name]: name for name in rig.loads}
    loads = {
        k: at_load[assembly.node[c.target]]
        for k, c in enumerate(rope.run)
        if c.target and assembly.node[c.target] in at_load
    }
    index = next((k for k, c in enumerate(rope.run) if _releasable(rig, catalogue, assembly, c)), None)
    if index is None or not loads:
        return None
    after = {name for k, name in loads.items() if k > index}
    load = max(after or set(loads.values()), key=lambda name: height_over_ground(rig, name))
    height = height_over_ground(rig, load)
    contact = rope.run[index]
    slack = sum(c.slack for c in (rope.run[1 : index + 1] if after else rope.run[index + 1 :]))
    free = not after and rope.run[-1].verb in ("hand", "tail")
    return Spare(
        rope.name,
        contact.target or "",
        index,
        load,
        _towards_the_end(assembly, rope, index) if free else slack,
        slack,
        height,
        max(height, policy.number("rope-reserve") or 0.0),
        contact.line,
    )


def _towards_the_end(assembly: Assembly, rope: Rope, index: int) -> float | None:
    """All rope [m] past a contact."""
    return None if rope.length is None else max(0.0, rope.length - laid_to(assembly, rope.name, index))


def _releasable(rig: Rig, catalogue: Catalogue, assembly: Assembly, contact: Contact) -> bool:
    """Whether a contact is a device tied off at something fixed, from which a loaded rope can be let out."""
    item = rig.gear.get(contact.target or "")
    if item is None or contact.verb != "through" or item.state != "locked-off":
        return False
    rule = catalogue[item.type].holding
    fixed = bool(assembly.system.fixed[assembly.node[item.name]])
    return fixed and (rule.locks_off or rule.opens_under_load)
