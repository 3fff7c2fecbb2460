"""Ropes that a step has left too short to reach: the model stretches them as far as it takes."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.quantity import show_force

from .hanging import Hanging
from .world import World

__all__ = ["too_short"]

UNKNOWN = 20_000.0
"""Tension [N] that counts as too short where nobody states what a rope holds: this project's own figure."""


def too_short(world: World, hung: Hanging) -> Iterator[tuple[str, str, str]]:
    """Each rope that would be pulled beyond its strength at rest: its name, what is so, what would be right.

    Nothing that hangs there is so heavy: it is rope laid shorter than the way it has to go, and where people
    then are is not where the model has them.
    """
    most: dict[str, float] = {}
    for (rope, _), force in hung.tension.items():
        most[rope] = max(force, most.get(rope, 0.0))
    for rope, force in most.items():
        strength = world.figures.likely(rope, hung.moment.rig.ropes[rope].type, "strength", UNKNOWN)
        if force > strength:
            text = f"{rope} is too short to reach: it would be pulled with {show_force(force)}"
            yield rope, text, f"give {rope} slack before anything on it is put elsewhere"
