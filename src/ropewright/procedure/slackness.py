"""Lines that catch rather than carry, and how much slack there is in them."""

from __future__ import annotations

from ropewright.rig import clipped_on

from .hanging import BEARS
from .moment import Moment, rope_between, straight
from .world import World

__all__ = ["slack_lines"]


def slack_lines(world: World, moment: Moment, load: str) -> dict[str, float]:
    """The slack [m] of each rope that would catch a load, of those that its chains count on: from the load to
    what holds the rope and bears nothing now, a device, a knot, a progress capture. Edges and sheaves on the
    way hold nothing, nor does a grab that rides on the rope and is held by a haul.
    """
    chains = world.chains(moment)
    if load not in chains:
        return {}
    counted = dict.fromkeys(rope for chain in chains[load].independent for rope in chain.ropes)
    here = {load, *clipped_on(moment.rig, load)}
    out = {}
    for rope in counted:
        slack = _slack(world, moment, rope, here)
        if slack is not None:
            out[rope] = slack
    return out


def _slack(world: World, moment: Moment, rope: str, here: set[str]) -> float | None:
    run = moment.rig.ropes[rope].run
    tension = world.hang(moment).tension
    best: float | None = None
    for k, contact in enumerate(run):
        if contact.target not in here or contact.verb == "hand":
            continue
        for way in (-1, +1):
            end = _holds(world, moment, rope, k, way)
            if end is None or run[end].target in here:
                continue
            span = range(min(k, end), max(k, end))
            if tension.get((rope, span[-1] if way > 0 else span[0]), 0.0) > BEARS:
                return None
            spare = sum(rope_between(moment, rope, i) - straight(moment, run, i) for i in span)
            best = spare if best is None else min(best, spare)
    return best


def _holds(world: World, moment: Moment, rope: str, k: int, way: int) -> int | None:
    """The next contact that way that holds the rope; None where it only leads to a free end or a hand."""
    run = moment.rig.ropes[rope].run
    i = k + way
    while 0 <= i < len(run):
        if run[i].verb in ("tail", "hand"):
            return None
        item = moment.rig.gear.get(run[i].target or "")
        passes = item is not None and world.catalogue[item.type].family in ("pulley", "join")
        passes = passes or (item is not None and not isinstance(item.at, str))
        if not passes and run[i].verb in ("tie", "grip", "through"):
            return i
        i += way
    return None
