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
from ropewright.judgement.letting_go import Aftermath, let_go
from ropewright.rig import Place, Rig

from .moment import Moment

__all__ = ["Alone", "tried_alone"]


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

    def reason(gone: tuple[Component, ...], hands_off: bool) -> str:
        after = let_go(
            rig, catalogue, moment.state, figures=figures, gone=gone, hands_off=hands_off, grip=grip
        )
        return _reason(after, holding.load)

    tended = any(rope.run[-1].verb == "hand" for rope in rig.ropes.values()) or bool(moment.holds)
    kept: list[Chain] = []
    why_not = []
    for chain in holding.independent:
        others = [c for other in holding.independent if other is not chain for c in other.components]
        gone = (*uncounted, *others)
        why = reason(gone, hands_off=False)
        if why:
            why_not.append(f"{' and '.join(chain.ropes)} would not hold alone: {why}")
        elif chain.hands_off and tended and (why := reason(gone, hands_off=True)):
            why_not.append(f"{' and '.join(chain.ropes)} would not hold with every hand off: {why}")
            kept.append(replace(chain, hands_off=False))
        else:
            kept.append(chain)
    return Alone(replace(holding, independent=tuple(kept)), tuple(why_not))


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
