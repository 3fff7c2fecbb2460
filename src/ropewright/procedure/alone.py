"""Whether each independent chain would really hold its load if the others were gone, from this moment on.

Connection alone says that a chain is there. A chain whose rope comes tight only below the ground, whose grab
slips under the load, or whose hand is asked for more than it can hold, is there and holds nobody.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from ropewright.catalogue import Catalogue
from ropewright.judgement.chains import Chain, Holding
from ropewright.judgement.components import Component
from ropewright.judgement.figures import Figures
from ropewright.judgement.ground import ground_below
from ropewright.judgement.letting_go import Aftermath, drawing_height, let_go
from ropewright.mechanics import GRAVITY
from ropewright.rig import Place, Rig, Rope, hangs_on

from .moment import Moment

__all__ = ["Alone", "tried_alone"]


PLUMB, STEEP = 1.05, 2.0
"""Most tension in a chain's rope over all that hangs there: plumb (gear and rope weigh a little too), and
with ropes within 60° of plumb.
"""
CLEAR = 0.1
"""Height [m] above the ground that is left before a chain is not tried."""


@dataclass(frozen=True, slots=True)
class Alone:
    """What of a load's chains holds it when tried alone, and why each of the others counts for nothing."""

    holding: Holding
    why_not: tuple[str, ...] = ()


def tried_alone(
    moment: Moment,
    holding: Holding,
    catalogue: Catalogue,
    figures: Figures,
    grip: dict[str, float],
    uncounted: Iterable[Component],
) -> Alone:
    """The chains that hold ``holding.load`` from a moment at rest with every other chain gone.

    ``grip``: what the hands at each place can hold [N]; ``uncounted``: what counts for nothing anyway. A
    chain that holds only as long as a hand does is no hands-off chain.
    """
    rig, uncounted = _with_stood_as_places(moment), tuple(uncounted)

    def reason(chain: Chain, gone: tuple[Component, ...], hands_off: bool) -> str:
        opened = _held_open(moment, chain)
        after = let_go(
            rig,
            catalogue,
            moment.state,
            figures=figures,
            gone=gone,
            hands_off=hands_off,
            grip=grip,
            braked=not opened,  # rope runs through until the slack before the other's hand is out
        )
        if after.hands_gave_way and opened:  # it stays open while the rope runs
            return f"its hand is asked for more than it can hold while {opened[0]} is held open"
        return _reason(after, holding.load)

    tended = any(rope.run[-1].verb == "hand" for rope in rig.ropes.values()) or bool(moment.holds)
    kept: list[Chain] = []
    why_not = []
    for chain in holding.independent:
        opened = bool(_held_open(moment, chain))
        if chain.hands_off and not opened and _surely_holds(moment, chain, catalogue, figures):
            kept.append(chain)
            continue
        others = [c for other in holding.independent if other is not chain for c in other.components]
        gone = (*uncounted, *others)
        by_itself = reason(chain, gone, hands_off=True) if chain.hands_off else "it needs a hand"
        if not by_itself and not opened:  # what holds with every hand off holds with them on
            kept.append(chain)
            continue
        why = reason(chain, gone, hands_off=False) if tended else by_itself
        if why:
            why_not.append(f"{' and '.join(chain.ropes)} would not hold alone: {why}")
            continue
        if chain.hands_off and by_itself:
            why_not.append(f"{' and '.join(chain.ropes)} would not hold with every hand off: {by_itself}")
        kept.append(replace(chain, hands_off=not by_itself))
    return Alone(replace(holding, independent=tuple(kept)), tuple(why_not))


def _held_open(moment: Moment, chain: Chain) -> list[str]:
    """The gear on a chain's ropes that somebody holds open whose hand is not the one on the rope.

    Who tends both and is asked for more than a hand can hold lets go of both, and what brakes by itself
    closes; what another holds open stays so while the rope runs.
    """
    return [
        gear
        for gear, who in moment.holds
        if any(moment.hand_of(rope) != who for rope in set(moment.ropes_of(gear)) & set(chain.ropes))
    ]


def _surely_holds(moment: Moment, chain: Chain, catalogue: Catalogue, figures: Figures) -> bool:
    """Whether a chain that needs no hand holds without being tried: too short to reach the ground, and no
    grip near the force at which it slips.

    The load can come no lower than the chain's ropes are long below its lowest fixed point, stretch included.
    Under one fixed point it hangs plumb and no rope pulls more than all that hangs there weighs; otherwise
    ropes are taken to lead within 60° of plumb.
    """
    rig = moment.rig
    met = [c for name in chain.ropes for c in rig.ropes[name].run if c.target and c.verb != "hand"]
    run = {c.target or "" for c in met if c.verb != "over"}  # an edge bends the rope and holds nothing
    tops = {part for part in run if hangs_on(rig, part) in rig.points}
    turns = any(
        catalogue[rig.gear[part].type].family in ("pulley", "join") for part in run if part in rig.gear
    )
    plumb = len({hangs_on(rig, part) for part in tops}) == 1 and not turns
    pull = (
        (PLUMB if plumb else STEEP)
        * GRAVITY
        * sum(rig.loads[x].mass.high for x in _together(rig, chain.load))
    )
    for part in chain.components:
        item = rig.gear.get(part.part) if part.kind == "gear" else None
        if item is not None and "slips" in catalogue[item.type].figures:
            slips = figures.get(item.name, item.type, "slips").value
            if slips is None or slips.low < pull:
                return False
    if not tops:
        return False
    length = 0.0
    for name in chain.ropes:
        rope = rig.ropes[name]
        stiffness = figures.get(name, rope.type, "stiffness").value
        laid = sum(moment.state.laid.get((name, k), 0.0) for k in range(_last(rope)))
        length += laid * (1.0 + pull / (stiffness.low if stiffness else pull))
    start = float(moment.state.at[chain.load][2])
    lowest = min(float(moment.state.at[part][2]) for part in tops) - length
    ground = ground_below(rig, start)
    return start - lowest <= max(drawing_height(rig), 1.0) and (ground is None or lowest > ground + CLEAR)


def _together(rig: Rig, load: str) -> set[str]:
    """The loads that may come to hang on the same chain as one: those that some rope joins to it."""
    met = [{hangs_on(rig, c.target) for c in rope.run if c.target} for rope in rig.ropes.values()]
    out, grown = {load}, True
    while grown:
        more = {x for ends in met if ends & out for x in ends if x not in rig.points and x not in rig.crews}
        grown = not more <= out
        out |= more
    return out & set(rig.loads)


def _last(rope: Rope) -> int:
    """How many of a rope's lengths lie between things it is made fast to: not those to a hand or tail."""
    return len(rope.run) - (2 if rope.run[-1].verb in ("hand", "tail") else 1)


def _reason(after: Aftermath, load: str) -> str:
    outcome = next(o for o in after.outcomes if o.load == load)
    if outcome.verdict == "held":
        return ""
    if after.hands_gave_way:
        return f"its hand is asked for more than it can hold, and {outcome.reason}"
    return outcome.reason or "nothing holds any more"


def _with_stood_as_places(moment: Moment) -> Rig:
    """The rig with each load that stands somewhere as a place that does not move."""
    rig = moment.rig
    if not moment.stands:
        return rig
    stood = {name for name, _ in moment.stands}
    points = dict(rig.points)
    for name in stood:
        x, y, z = (float(v) for v in moment.state.at[name])
        points[name] = Place(name, "anchor", (x, y, z))
    loads = {name: load for name, load in rig.loads.items() if name not in stood}
    return replace(rig, points=points, loads=loads)
