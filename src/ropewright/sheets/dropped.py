"""How far a load comes down that one failure drops and the rest holds: where it hangs, how low the catch
takes it, and what may slip so that it comes lower still. None of these is a ceiling.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from ropewright.judgement.letting_go import UNKNOWN
from ropewright.procedure.exposure import Exposure
from ropewright.quantity import Range, Units, in_units, show_force, show_length, show_range

__all__ = ["HARDLY", "SMALL", "became", "hangs", "in_the_catch", "lower", "movement", "slipping"]

SMALL = 0.1
"""Drop [m] up to which a load is said to stay about where it is."""
HARDLY = 0.01
"""Drop [m] that is not told: ropes and knots take up more as they stretch and set."""
LITTLE = 0.01
"""Distance [m] below which a movement is told as that alone: no rig is known more closely."""
INCH = 0.0254


def movement(metres: float, units: Units) -> str:
    """How far something moves, in digits that a rig is known to: up to the next centimetre below 0.1 m."""
    far = abs(metres)
    if far >= SMALL:
        return show_length(far, units)
    step = LITTLE * max(1, math.ceil(far / LITTLE - 1e-6))
    less = "less than " if far < LITTLE else ""
    metric, us = f"{1000 * step:.0f} mm", f"{math.ceil(10 * step / INCH) / 10:g} in"
    return less + in_units(metric, us, units)


def lower(drops: Iterable[float], units: Units) -> str:
    """Where it hangs then: `hangs 0.54 m lower`; of several cases from the least to the most."""
    found = list(drops)
    least, most = min(found), max(found)
    if least <= -HARDLY and most >= HARDLY:
        return f"hangs {movement(least, units)} higher to {movement(most, units)} lower"
    way = "lower" if most > -least else "higher"
    near, far = sorted((abs(least), abs(most)))
    if near >= SMALL:
        return f"hangs {show_range(Range(near, near, far), 'length', units)} {way}"
    said = dict.fromkeys((movement(near, units), movement(far, units)))
    return f"hangs {' to '.join(said)} {way}"


def in_the_catch(drop: float, lowest: float | None, units: Units) -> str:
    """`, down to 0.85 m in the catch`, which stretches the ropes for a moment; empty where nothing is caught
    to speak of.
    """
    return "" if lowest is None or lowest <= drop else f", down to {movement(lowest, units)} in the catch"


def hangs(drop: float, lowest: float | None, units: Units) -> str:
    """`hangs 0.54 m lower, down to 0.85 m in the catch`."""
    return f"{lower([drop], units)}{in_the_catch(drop, lowest, units)}"


def slipping(may_slip: Iterable[tuple[str, float]], units: Units) -> str:
    """`; further if grab slips (from 2.50 kN)`, of what a catch asks for more than it slips from [N]."""
    least = dict[str, float]()
    for part, force in may_slip:
        least[part] = min(force, least.get(part, force))
    said = [f"{part} slips (from {show_force(force, units)})" for part, force in least.items()]
    return f"; further if {' or '.join(said)}" if said else ""


def became(x: Exposure, units: Units) -> str:
    """What becomes of a load at a moment of a procedure if the worst single thing lets go."""
    if x.outcome != "held":
        if x.outcome == UNKNOWN:
            return "NOT WORKED OUT"
        far = "" if x.drop is None else f" {show_length(x.drop, units)}"
        return f"{'FALLS' if x.outcome == 'falls' else 'RUNS DOWN'}{far}"
    return f"{hangs(x.drop or 0.0, x.lowest, units)}{slipping(x.may_slip, units)}"
