"""The same reeving pulled by someone else: from the ground, or by whoever hangs on it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .model import Rope, System

__all__ = ["pulled_by_load", "pulled_from_ground"]

BELOW = 1.0
"""How far below the lowest point of the rig [m] the new hand stands: only its direction matters to the
count."""


def pulled_from_ground(system: System) -> System | None:
    """The rig with every hand on a free point put on fixed ground, straight below its last contact.

    None where no hand is on a free point. A new point "ground" is added for each; the others keep their
    numbers, and the contacts theirs.
    """
    names, position = list(system.names), [*system.position]
    fixed, mass = list(system.fixed), list(system.mass)
    floor = float(system.position[:, 2].min()) - BELOW
    ropes = []
    for rope in system.ropes:
        hand = rope.contacts[-1]
        if rope.idle or hand.end != "hand" or system.fixed[hand.node]:
            ropes.append(rope)
            continue
        above = system.position[rope.contacts[-2].node]
        names.append(_fresh("ground", names))
        position.append(np.array([above[0], above[1], floor]))
        fixed.append(np.True_)
        mass.append(np.float64(0.0))
        ropes.append(_moved_hand(rope, len(names) - 1, system, position[-1]))
    if len(names) == len(system.names):
        return None
    return System(
        tuple(names), np.array(position), np.array(fixed), np.array(mass), tuple(ropes), system.load
    )


def pulled_by_load(system: System) -> System | None:
    """The rig with its one fixed hand given to the load: the climber pulls on his own system.

    None where there isn't exactly one moving hand, or it is no fixed point's. The reeving stays as it
    is: a hand strand that ran upwards now runs down, which counts differently, as it would on the
    tower.
    """
    pulling = [r for r, rope in enumerate(system.ropes) if rope.contacts[-1].end == "hand" and not rope.idle]
    if len(pulling) != 1 or system.load < 0:
        return None
    rope = system.ropes[pulling[0]]
    if not system.fixed[rope.contacts[-1].node]:
        return None
    ropes = list(system.ropes)
    ropes[pulling[0]] = _moved_hand(rope, system.load, system, system.position[system.load])
    return replace(system, ropes=tuple(ropes))


def _moved_hand(rope: Rope, node: int, system: System, at: np.typing.NDArray[np.float64]) -> Rope:
    """The rope with its hand at another point, the last strand keeping the slack that it had."""
    last, hand = system.position[rope.contacts[-2].node], system.position[rope.contacts[-1].node]
    slack = rope.laid[-1] - float(np.linalg.norm(hand - last))
    length = max(0.0, float(np.linalg.norm(at - last)) + slack)
    contacts = (*rope.contacts[:-1], replace(rope.contacts[-1], node=node))
    return replace(rope, contacts=contacts, laid=(*rope.laid[:-1], length))


def _fresh(name: str, taken: list[str]) -> str:
    number, out = 1, name
    while out in taken:
        number += 1
        out = f"{name} {number}"
    return out
