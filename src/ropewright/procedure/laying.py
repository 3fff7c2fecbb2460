"""Changes to what a rope meets: a contact laid in or taken out, and what that does to the rope between."""

from __future__ import annotations

from dataclasses import replace

from ropewright.judgement.state import State
from ropewright.rig import Contact, hangs_on

from .moment import Moment, rope_between, straight, with_rope

__all__ = [
    "gaps",
    "is_knot",
    "lay_in",
    "place_for",
    "replace_contact",
    "slack_before",
    "take_out",
    "without_knots",
    "without_rope",
]


def _lengths(moment: Moment, rope: str) -> list[float]:
    return [rope_between(moment, rope, k) for k in range(len(moment.rig.ropes[rope].run) - 1)]


def lay_in(moment: Moment, rope: str, k: int, contact: Contact, slack: float = 0.0) -> Moment:
    """Lay a contact into a run before its contact ``k``, with ``slack`` [m] in the rope just before it.

    What the rope had between the neighbours it keeps; the new part lies where it is.
    """
    was = moment.rig.ropes[rope]
    run = (*was.run[:k], contact, *was.run[k:])
    laid = _lengths(moment, rope)
    if k == 0:
        laid = [straight(moment, run, 0), *laid]
    elif k == len(was.run):
        laid = [*laid, straight(moment, run, k - 1) + slack]
    else:
        before = straight(moment, run, k - 1) + slack
        loose = was.run[k].target is None
        behind = 0.0 if loose else max(laid[k - 1] - before, straight(moment, run, k))
        if not loose and laid[k - 1] < before + behind:  # rope is tight there: it is bent to the new part
            behind = min(behind, laid[k - 1])
            before = laid[k - 1] - behind
        laid = [*laid[: k - 1], before, behind, *laid[k:]]
    return with_rope(moment, replace(was, run=run), laid)


def take_out(moment: Moment, rope: str, k: int) -> Moment:
    """Take contact ``k`` out of a run; the rope on both sides of it becomes one.

    A rope that then meets nothing is no longer on the rig.
    """
    was = moment.rig.ropes[rope]
    run = (*was.run[:k], *was.run[k + 1 :])
    if all(c.verb == "tail" for c in run):
        return without_rope(moment, rope)
    laid = _lengths(moment, rope)
    if k == 0:
        laid = laid[1:]
    elif k == len(was.run) - 1:
        laid = laid[:-1]
    else:
        loose = was.run[k + 1].target is None
        joined = 0.0 if loose else laid[k - 1] + laid[k]
        laid = [*laid[: k - 1], joined, *laid[k + 1 :]]
    return with_rope(moment, replace(was, run=run), laid)


def without_knots(moment: Moment) -> Moment:
    """The moment with every rope as if it had no knot along it: a knot that nothing else hangs on bears what
    the rope bears.
    """
    for rope in list(moment.rig.ropes):
        for k in range(len(moment.rig.ropes[rope].run) - 2, 0, -1):
            if is_knot(moment, rope, moment.rig.ropes[rope].run[k].target):
                moment = take_out(moment, rope, k)
    return moment


def is_knot(moment: Moment, rope: str, name: str | None) -> bool:
    """Whether a part is a knot along a rope: not at its end, clipped to nothing, and nothing else on it."""
    item = moment.rig.gear.get(name or "")
    if item is None or isinstance(item.at, str):
        return False
    met = [c for other in moment.rig.ropes.values() for c in other.run if c.target == name]
    inside = any(c.verb == "tie" and c.target == name for c in moment.rig.ropes[rope].run[1:-1])
    return inside and len(met) == 1 and all(other.at != name for other in moment.rig.gear.values())


def without_rope(moment: Moment, rope: str) -> Moment:
    """The moment with a rope back in somebody's kit, and nobody standing in it."""
    ropes = {name: r for name, r in moment.rig.ropes.items() if name != rope}
    laid = {key: v for key, v in moment.state.laid.items() if key[0] != rope}
    return replace(
        moment,
        rig=replace(moment.rig, ropes=ropes),
        state=State(moment.state.at, laid),
        loops=tuple(loop for loop in moment.loops if loop.rope != rope),
    )


def replace_contact(moment: Moment, rope: str, k: int, contact: Contact) -> Moment:
    """Put one contact in another's place; the rope between stays as long."""
    was = moment.rig.ropes[rope]
    run = (*was.run[:k], contact, *was.run[k + 1 :])
    return with_rope(moment, replace(was, run=run), _lengths(moment, rope))


def slack_before(moment: Moment, rope: str, k: int) -> float:
    """Rope [m] that is laid before contact ``k`` beyond what it takes to get there."""
    if k == 0:
        return 0.0
    return rope_between(moment, rope, k - 1) - straight(moment, moment.rig.ropes[rope].run, k - 1)


def gaps(moment: Moment, load: str) -> dict[str, float]:
    """The slack [m] before each piece of gear at a load that a rope runs through."""
    out = {}
    for rope in moment.rig.ropes.values():
        for k, contact in enumerate(rope.run):
            item = moment.rig.gear.get(contact.target or "")
            if item is not None and item.at == load and k > 0 and contact.verb == "through":
                out[item.name] = slack_before(moment, rope.name, k)
    return out


def place_for(moment: Moment, rope: str, beside: str, side: str) -> int:
    """Where in a run something goes: on a side of a part on it, at the free end where nothing is said.

    Above is the side whose neighbour is higher; where that does not tell, the side of the end made fast. In
    front is the side that leads to a load; where that does not tell, the side of the run's start.
    """
    run = moment.rig.ropes[rope].run
    if not beside:
        return len(run) - 1 if run and run[-1].verb in ("hand", "tail") else len(run)
    k = next(i for i, c in enumerate(run) if c.target == beside)
    if side in ("in front of", "behind"):
        leads = [any(_at_load(moment, c) for c in part) for part in (run[:k], run[k + 1 :])]
        front_is_before = leads[0] or not leads[1]
        return k if (side == "in front of") == front_is_before else k + 1
    before, after = _height(moment, run, k, k - 1), _height(moment, run, k, k + 1)
    if before is not None:
        before_is_up = before >= (0.0 if after is None else after)
    else:
        before_is_up = after is None or after < 0.0
    return k if (side == "above") == before_is_up else k + 1


def _at_load(moment: Moment, contact: Contact) -> bool:
    """Whether a contact is at a load or at what is clipped to one; a hand leads to nobody."""
    if contact.verb == "hand" or contact.target is None:
        return False
    return hangs_on(moment.rig, contact.target) in moment.rig.loads


def _height(moment: Moment, run: tuple[Contact, ...], k: int, other: int) -> float | None:
    """How much higher [m] a neighbour of contact ``k`` is; None where it is none, or only a hand."""
    if not 0 <= other < len(run) or run[other].target is None or run[other].verb == "hand":
        return None
    at = moment.state.at
    return float(at[run[other].target or ""][2] - at[run[k].target or ""][2])
