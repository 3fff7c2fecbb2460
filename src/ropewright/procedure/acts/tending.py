"""Who does what with the ropes while a load moves: hands that move it, that keep slack, that hold still."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ropewright.judgement.state import State
from ropewright.mechanics import MechanicsError, StuckError, at_height, hand_strands, held
from ropewright.procedure.hanging import BEARS, Hanging, assembled
from ropewright.procedure.laying import is_knot, replace_contact
from ropewright.procedure.moment import Moment, rope_between, straight
from ropewright.procedure.world import World
from ropewright.quantity import show_length
from ropewright.rig import Contact

from .base import CannotError

__all__ = ["brought", "carries", "eased", "last_device", "minded"]

_LOOSE = 1000.0
_SHORT = 0.1
"""How far [m] short of a device a knot has to stop so that it is not drawn in: a planning figure."""
_EASED = 0.05
"""Slack [m] that is let out beyond what it takes for other things to carry: a planning figure."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """A rope that is let through a device or back-up as a load goes, from contact ``start`` to the device at
    ``k``, so that its slack [m] stays as it was.
    """

    rope: str
    start: int
    k: int
    slack: float


def last_device(moment: Moment, world: World, rope: str) -> int | None:
    """The contact of the last device before a rope's end, which the hand there tends."""
    run = moment.rig.ropes[rope].run
    for k in range(len(run) - 1, -1, -1):
        item = moment.rig.gear.get(run[k].target or "")
        if item is not None and run[k].verb == "through" and world.catalogue[item.type].family == "device":
            return k
    return None


def carries(moment: Moment, world: World, rope: str) -> bool:
    """Whether a rope bears weight anywhere."""
    tension = world.hang(moment).tension
    return any(force > BEARS for (name, _), force in tension.items() if name == rope)


def brought(
    moment: Moment, world: World, load: str, target: float, direction: int, moving: Sequence[str]
) -> tuple[Moment, float]:
    """The moment with rope taken in or let out by the hands on the ropes of ``moving`` until a load is at the
    height ``target`` [m]; and how high [m] it came.

    Every other rope in a hand is minded: a slack one is let through its device and keeps its slack, one that
    bears is held still, or taken in where its device lets rope in.
    """
    distance = direction * (target - float(moment.state.at[load][2]))
    _no_knot_jams(moment, world, direction, distance, moving)
    kept = _back_ups(moment, world) + _let_through(moment, world, direction, moving)
    loose = _loosened(moment, kept, moving)
    whole = assembled(loose, world.catalogue, world.figures, braked=False, load=load)
    system = whole.system
    hands = hand_strands(system)
    if not hands:
        raise CannotError(f"no hand is on a rope that moves {load}", "put a hand on its rope first")
    if not held(system)[system.load]:
        raise CannotError(f"nothing holds {load} while it is moved")
    try:
        moved, rest = at_height(system, hands, target)
    except StuckError as error:
        at = system.names[error.node] if error.node >= 0 else load
        way = "raised" if direction > 0 else "lowered"
        raise CannotError(f"{load} can't be {way} so: {error} (see {at})", _turned(moment)) from None
    except MechanicsError as error:
        raise CannotError(f"the model finds no way to move {load}: {error}") from None
    state = whole.state(moved.with_state(rest.position, rest.laid))
    reached = float(state.at[load][2])
    after = replace(moment, state=State({**moment.state.at, **state.at}, {**moment.state.laid, **state.laid}))
    after = _following(_links_follow(moment, after, kept, load), kept)
    after = _hands_stay(moment, after, moving)
    return (_braked(after, world, moving) if direction < 0 else after), reached


def eased(moment: Moment, world: World, rope: str, k: int) -> tuple[Hanging, Moment]:
    """A rope let out before its contact ``k`` until other things carry: how it then hangs, the other ropes in
    hands minded; and the moment when no more is let out than that takes.
    """
    kept = _let_through(moment, world, -1, [rope])
    loose = _loosened(moment, kept, [rope])
    without = world.hang(loose.with_laid({(rope, k - 1): rope_between(moment, rope, k - 1) + 100.0}))
    laid = {key: v for key, v in without.moment.state.laid.items() if key[0] != rope}
    after = replace(moment, state=State(without.moment.state.at, {**moment.state.laid, **laid}))
    run = moment.rig.ropes[rope].run
    after = after.with_laid({(rope, k - 1): straight(after, run, k - 1) + _EASED})
    return without, _hands_stay(moment, _following(after, kept), [rope])


def _no_knot_jams(moment: Moment, world: World, direction: int, way: float, moving: Sequence[str]) -> None:
    """Refuse to run a knot along a rope up against what it can't pass: the device when rope is let out."""
    for rope in moving if direction < 0 else ():
        run = moment.rig.ropes[rope].run
        k = last_device(moment, world, rope)
        knots = [j for j, c in enumerate(run) if k is not None and j > k and is_knot(moment, rope, c.target)]
        if k is None or not knots:
            continue
        there = sum(rope_between(moment, rope, i) for i in range(k, knots[0]))
        if way > there - _SHORT:
            knot, device = run[knots[0]].target, run[k].target
            text = f"{knot} is {show_length(there)} behind {device} on {rope} and jams in it"
            fix = f"stop at least {show_length(_SHORT)} short, and pass the knot"
            raise CannotError(f"{text}: {show_length(way)} can't be let out", fix)


def _turned(moment: Moment) -> str:
    """What to do about a grab or device that is on the wrong way round."""
    for rope in moment.rig.ropes.values():
        for contact in rope.run:
            if contact.reversed:
                return f"{contact.target} is on {rope.name} the wrong way round: turn it"
    return "see which device or grab holds there, and have it tended or taken off"


def minded(moment: Moment, world: World, direction: int, moving: Sequence[str]) -> Moment:
    """The moment as the load on the ropes of ``moving`` feels it: everything else out of the way or held."""
    kept = _back_ups(moment, world) + _let_through(moment, world, direction, moving)
    return _loosened(moment, kept, moving)


def _back_ups(moment: Moment, world: World) -> list[_Kept]:
    """Back-ups that follow a person along a slack rope; one that is clipped to nobody follows nobody."""
    hung = world.hang(moment)
    out = []
    for rope in moment.rig.ropes.values():
        for k, contact in enumerate(rope.run):
            item = moment.rig.gear.get(contact.target or "")
            if item is None or contact.verb != "grip" or not world.catalogue[item.type].holding.follows:
                continue
            if isinstance(item.at, str) and hung.bears.get(item.name, 0.0) <= BEARS and k > 0:
                out.append(_kept(moment, rope.name, k))
    return out


def _let_through(moment: Moment, world: World, direction: int, moving: Sequence[str]) -> list[_Kept]:
    """Ropes in a hand that do not move the load, and that a device or progress capture lets run that way."""
    out = []
    for rope in moment.rig.ropes:
        k = _last_hold(moment, world, rope)
        if rope in moving or moment.hand_of(rope) is None or not k:
            continue
        item = moment.rig.gear[moment.rig.ropes[rope].run[k].target or ""]
        if item.state == "locked-off" or _rides(moment, item.name):
            continue
        rule = world.catalogue[item.type].holding
        free = not carries(moment, world, rope)
        opened = free and (item.state == "in-hand" or not rule.bites)
        runs = rule.one_way or free if direction > 0 else opened
        if runs:
            out.append(_kept(moment, rope, k))
    return out


def _last_hold(moment: Moment, world: World, rope: str) -> int | None:
    """The contact of the last device, or grab that does not ride, before a rope's end."""
    run = moment.rig.ropes[rope].run
    grabs = [k for k, c in enumerate(run) if c.verb == "grip" and not _rides(moment, c.target or "")]
    return max((k for k in (last_device(moment, world, rope), *grabs) if k is not None), default=None)


def _rides(moment: Moment, gear: str) -> bool:
    return not isinstance(moment.rig.gear[gear].at, str)


def _kept(moment: Moment, rope: str, k: int) -> _Kept:
    """The slack before contact ``k`` back to what holds the rope there; edges on the way hold nothing."""
    run = moment.rig.ropes[rope].run
    start = k - 1
    while start > 0 and run[start].verb == "over":
        start -= 1
    spare = sum(rope_between(moment, rope, i) - straight(moment, run, i) for i in range(start, k))
    return _Kept(rope, start, k, max(0.0, spare))


def _loosened(moment: Moment, kept: list[_Kept], moving: Sequence[str]) -> Moment:
    """The moment with minded ropes out of the way, and hands that hold still as good as a knot."""
    moment = moment.with_laid({(each.rope, each.k - 1): _LOOSE for each in kept})
    minded = {each.rope for each in kept}
    for rope in list(moment.rig.ropes.values()):
        if rope.run[-1].verb != "hand" or rope.name in moving:
            continue
        end = Contact("tail") if rope.name in minded else Contact("tie", rope.run[-1].target)
        moment = replace_contact(moment, rope.name, len(rope.run) - 1, end)
        for contact in rope.run:
            item = moment.rig.gear.get(contact.target or "")
            if rope.name in minded and item is not None and item.state == "in-hand":
                moment = moment.with_gear(replace(item, state="running"))
    return moment


def _following(after: Moment, kept: list[_Kept]) -> Moment:
    """Minded ropes and back-ups at the slack they had: their rope ran through as the load went."""
    changes = {}
    for each in kept:
        run = after.rig.ropes[each.rope].run
        for i in range(each.start, each.k):
            changes[each.rope, i] = straight(after, run, i)
        changes[each.rope, each.k - 1] += each.slack
    return after.with_laid(changes)


def _links_follow(before: Moment, after: Moment, kept: list[_Kept], load: str) -> Moment:
    """Links between a minded line and the rope below it go as far as the load goes."""
    went = after.state.at[load] - before.state.at[load]
    at = dict(after.state.at)
    for each in kept:
        start = before.rig.ropes[each.rope].run[each.start]
        item = before.rig.gear.get(start.target or "")
        if item is not None and start.verb == "tie" and not isinstance(item.at, str):
            at[item.name] = before.state.at[item.name] + went
    return replace(after, state=State(at, after.state.laid))


def _hands_stay(before: Moment, after: Moment, moving: Sequence[str]) -> Moment:
    """The hands that did not move the load as they were: rope behind the device went into the bag, or out."""
    ends = {
        (rope.name, len(rope.run) - 2) for rope in before.rig.ropes.values() if rope.run[-1].verb == "hand"
    }
    return after.with_laid({key: rope_between(before, *key) for key in ends if key[0] not in moving})


def _braked(after: Moment, world: World, moving: Sequence[str]) -> Moment:
    """Ropes that were let out, stopped at their devices: behind those a hand is enough."""
    changes = {}
    for rope in moving:
        k = last_device(after, world, rope)
        run = after.rig.ropes[rope].run
        for i in range(k, len(run) - 1) if k is not None else ():
            changes[rope, i] = max(rope_between(after, rope, i), straight(after, run, i))
    return after.with_laid(changes)
