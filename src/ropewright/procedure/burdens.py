"""The kilograms that hang on gear at a moment, against what it is rated for."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.mechanics import GRAVITY
from ropewright.quantity import show_mass

from .hanging import Hanging
from .world import World

__all__ = ["overloaded"]

SAME = 1.02
"""Share of a mass up to which it counts as the same: gear that a person wears hangs on the rope with them."""


def overloaded(world: World, hung: Hanging) -> Iterator[tuple[str, str, str]]:
    """Devices and grabs that bear more kilograms than their user mass, with what is wrong and what to do.

    Where nobody has stated a user mass, what bears more than the heaviest person is told as well.
    """
    if not hung.settled:
        return
    loads = hung.moment.rig.loads.values()
    together = sum(load.mass.likely for load in loads)
    heaviest = max((load.mass.likely for load in loads), default=0.0)
    for item in hung.moment.rig.gear.values():
        mass = min(hung.bears.get(item.name, 0.0) / GRAVITY, together)
        if "user-mass" not in world.catalogue[item.type].figures and not world.figures.rig.assume.get(
            item.name, {}
        ).get("user-mass"):
            continue
        limit = world.figures.get(item.name, item.type, "user-mass").value
        if limit is None and mass > heaviest * SAME:
            text = f"{show_mass(mass)} hang on {item.name}, and nobody has said how many it is rated for"
            yield item.name, text, f"read its label, and state it under `assume: {item.name}: user-mass`"
        elif limit is not None and mass > limit.low * SAME:
            text = f"{show_mass(mass)} hang on {item.name}, which is rated for {show_mass(limit.low)}"
            yield item.name, text, "use gear rated for both before the weight is moved"
