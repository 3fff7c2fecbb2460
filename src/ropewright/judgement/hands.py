"""What the hands at the ropes can hold, and whether that is enough for the rig to stand still."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ropewright.mechanics import Rest, can_rest, held
from ropewright.rig import Rig

from .assemble import Assembly
from .policy import Policy

__all__ = ["OverAsked", "fallen", "hand_grips", "over_asked", "shared"]

LEAST = 1.0
"""Grip [N] below which a hand counts as this much when what it lacks is sought: nothing has no multiple."""
MOST = 1e4
"""Multiple of the grips beyond which no more is sought."""
CLOSE = 1e-3
"""Share to which the force that hands would have to hold is found."""


@dataclass(frozen=True, slots=True)
class OverAsked:
    """Hands that have to hold more than they are counted on for, the rig at rest.

    ``hands``: names with the least force [N] each would have to hold, all raised alike from the ``grip`` [N]
    they are counted on for; ``friction``: `likely` where that is so at the central figures, `light` where
    only with friction at its least.
    """

    hands: tuple[tuple[str, float, float], ...]
    friction: Literal["likely", "light"]


def hand_grips(rig: Rig, policy: Policy) -> dict[str, float]:
    """What the hands at each place can hold [N]: one gloved hand for a load that pulls, every hauler's
    pull for a crew.
    """
    one = policy.number("brake-hand") or 0.0
    each = policy.number("hauler-pull") or 0.0
    out = dict.fromkeys(rig.loads, one)
    for crew in rig.crews.values():
        out[crew.name] = max(one, crew.people * (crew.pull.likely if crew.pull else each))
    return out


def shared(names: Mapping[int, str], grip: Mapping[str, float]) -> list[tuple[tuple[int, ...], float]]:
    """The strands of everybody who holds several, with what they can hold in all [N]; ``names``: who holds
    each strand.
    """
    held_by: dict[str, list[int]] = {}
    for strand, name in names.items():
        held_by.setdefault(name, []).append(strand)
    return [(tuple(ids), grip.get(name, 0.0)) for name, ids in held_by.items() if len(ids) > 1]


def fallen(assembly: Assembly) -> NDArray[np.bool_]:
    """Points (n,) that nothing holds, such as a grab on a rope gone slack; a load is never left out."""
    out = ~held(assembly.system)
    out[[assembly.node[name] for name in assembly.rig.loads]] = False
    return out


def over_asked(
    assembly: Assembly, rest: Rest, grip: Mapping[str, float]
) -> tuple[tuple[str, float, float], ...]:
    """Hands that can't hold the rig still in the state ``rest``: name, least force [N], grip [N].

    ``assembly``: with the hands on and nothing but them to brake. Empty where the hands suffice, and where
    nothing could rest there however hard they held, which other rules tell of.
    """
    system = assembly.system
    strands = {
        k: assembly.strand_ends(k)[1].contact.target or ""
        for k in range(len(system.strands))
        if system.contacts[int(system.strands.first[k]) + 1].end == "hand"
    }
    grips = {k: grip.get(name, 0.0) for k, name in strands.items()}
    dropped, band = fallen(assembly), max(1e-5, 2 * rest.residual / system.moved_weight)

    of_several = shared(strands, grip)

    def rests(most: Mapping[int, float], share: float = math.inf) -> bool:
        """Whether it rests with strands bounded so, and whoever has several giving ``share`` of the grip."""
        together = [(ids, share * max(LEAST, most_of)) for ids, most_of in of_several if share < math.inf]
        return can_rest(system, rest.position, dropped=dropped, band=band, most=most, together=together)

    if not grips or rests(grips, 1.0) or not rests({}):
        return ()
    least = {k: max(LEAST, g) for k, g in grips.items()}
    low, high = 1.0, 2.0
    while not rests({k: high * g for k, g in least.items()}, high):
        low, high = high, 2 * high
        if high > MOST:
            return ()
    while high - low > CLOSE * high:
        middle = (low + high) / 2
        enough = rests({k: middle * g for k, g in least.items()}, middle)
        low, high = (low, middle) if enough else (middle, high)
    alone = [k for k in strands if not rests({k: grips[k]})]
    return tuple((strands[k], high * least[k], grips[k]) for k in alone or strands)
