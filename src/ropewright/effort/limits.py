"""The gear's own limits on who may hang on it: limits of the equipment, never failures of a person."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ropewright.effort.pulls import Prepared
from ropewright.quantity import Range

__all__ = ["MassLimit", "mass_limits"]

SAME = 1e-3
"""Share by which a mass may exceed a rating through rounding alone."""


@dataclass(frozen=True, slots=True)
class MassLimit:
    """A limit in kilograms: ``most`` None where nobody said; ``others`` [kg] hang on it besides the load
    that people are put in the place of.
    """

    what: str
    type: str
    most: float | None
    others: float
    line: int

    def allows(self, mass: Range) -> bool | None:
        """Whether somebody of this mass [kg] may hang on it; None where it is not known."""
        if self.most is None:
            return None
        return mass.high + self.others <= self.most * (1 + SAME)


def mass_limits(prepared: Prepared) -> tuple[MassLimit, ...]:
    """Every limit that the mass of the moved load counts against: what it wears and what it hangs on.

    Gear that somebody else wears is left out; gear that all loads may hang on, once another part has
    failed, counts with all of them.
    """
    return tuple(_limits(prepared))


def _limits(prepared: Prepared) -> Iterator[MassLimit]:
    rig, figures = prepared.rig, prepared.assembly.figures
    if prepared.load is None:
        return
    load = rig.loads[prepared.load]
    is_life = load.kind in ("person", "litter")
    if load.wears is not None:
        value = figures.get(load.name, load.wears, "user-mass").value
        yield MassLimit(f"the {load.wears}", load.wears, value.low if value else None, 0.0, load.line)
    elif is_life:
        yield MassLimit(f"what carries {load.name}", "", None, 0.0, load.line)
    node, own = prepared.assembly.node, prepared.assembly.node[load.name]
    worn = {node[name] for name in rig.loads}
    others = sum(other.mass.high for name, other in rig.loads.items() if name != load.name)
    for item in rig.gear.values():
        kind = prepared.catalogue[item.type]
        stated = any("user-mass" in rig.assume.get(name, {}) for name in (item.name, item.type))
        if not stated and "user-mass" not in kind.figures:
            continue
        if node[item.name] in worn and node[item.name] != own:
            continue
        value = figures.get(item.name, item.type, "user-mass").value
        if value is None and not is_life:
            continue
        besides = 0.0 if node[item.name] == own else others
        yield MassLimit(item.name, item.type, value.low if value else None, besides, item.line)
