"""Steps that the search may try: those that mend a difference, and those that make another one possible."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ropewright.rig import Contact, Gear, Rig

from .goal import Difference
from .hanging import BEARS
from .laying import place_for
from .model import Step
from .moment import Moment
from .rules import Fault
from .world import World

__all__ = ["enabling", "mending", "worded"]

Array = NDArray[np.float64]
LITTLE = 0.05
"""Slack [m] left before a device that is put on beside another: about 50 mm is taught."""


def mending(world: World, moment: Moment, wanted: Rig, found: Iterable[Difference]) -> Iterator[Step]:
    """A step for each difference that can be mended now."""
    found = list(found)
    comes_off = {d.name for d in found if d.kind == "take out"}
    for d in found:
        if d.kind == "take out":
            yield from _out(world, moment, d)
        elif d.kind == "lay in":
            yield from _in(world, moment, wanted, d)
        elif d.kind == "unclip":
            if d.name in comes_off:  # off its rope first
                continue
            yield Step("", "unclip", gear=d.name)
        elif d.kind == "clip":
            to, via = wanted.gear[d.name].at, wanted.gear[d.name].via
            now = moment.rig.gear.get(d.name)
            if isinstance(to, str) and (now is None or not isinstance(now.at, str)):
                usual = via == ("carabiner-locking",)
                yield Step("", "clip", gear=d.name, part=to, via=() if usual else via, locked=True)
        elif d.kind == "state":
            yield from _state(moment, wanted, d.name)
        elif d.kind == "hand off":
            yield Step(d.name, "hand-off", rope=d.rope)
        elif d.kind == "hand on":
            yield Step(d.name, "hand-on", rope=d.rope)
        elif d.kind == "sit":
            yield Step(d.name, "sit")
        elif d.kind == "gate":
            yield Step("", "lock", gear=d.name)


def _out(world: World, moment: Moment, d: Difference) -> Iterator[Step]:
    assert d.contact is not None
    if d.contact.verb == "tie":
        if d.contact.target in moment.rig.gear and d.rope == d.name:
            return  # comes away when its grab is taken off
        yield Step("", "untie", rope=d.rope, part=d.contact.target or "")
        return
    if d.contact.verb not in ("grip", "through"):
        return
    if world.type_of(moment, d.name).family in ("pulley", "join"):
        yield Step("", "take-out", gear=d.name, rope=d.rope, sheave=d.contact.sheave)
    else:
        yield Step("", "take-off", gear=d.name, rope=d.rope)


def _in(world: World, moment: Moment, wanted: Rig, d: Difference) -> Iterator[Step]:
    assert d.contact is not None
    contact = d.contact
    if contact.verb == "tie":
        knot = Step("", "tie", rope=d.rope, part=contact.target or "", knot=contact.knot or "")
        if d.rope not in moment.rig.ropes:
            if d.index == 0:
                yield knot
            return
        for beside, side in _places(world, moment, wanted, d)[:1]:
            yield replace(knot, beside=beside, side=side)
        return
    if contact.verb not in ("grip", "through") or d.rope not in moment.rig.ropes:
        return
    item = moment.rig.gear.get(d.name) or world.procedure.kit.get(d.name)
    if item is None:
        return
    family = world.catalogue[item.type].family
    for beside, side in _places(world, moment, wanted, d, family == "grab"):
        if family in ("pulley", "join"):
            where = Step("", "reeve", gear=d.name, rope=d.rope, sheave=contact.sheave)
        else:
            slack = (contact.slack or LITTLE) if family == "device" else 0.0
            where = Step("", "put", gear=d.name, rope=d.rope, slack=slack, reversed=contact.reversed)
        yield replace(where, beside=beside, side=side)


def _places(
    world: World, moment: Moment, wanted: Rig, d: Difference, grabs: bool = False
) -> list[tuple[str, str]]:
    """Where in the present run a contact of the wanted run may go: beside which part, and on which side.

    Between the neighbours that it has in the wanted run there may be contacts that come out later: next to
    those at the same place as the gear itself, on the free end's side first, a grab on the side that bears.
    """
    run, then = moment.rig.ropes[d.rope].run, wanted.ropes[d.rope].run
    first = max((_at(run, c) for c in then[: d.index]), default=-1) + 1
    last = min((k for c in then[d.index + 1 :] if (k := _at(run, c)) >= 0), default=len(run) - 1)
    gaps = list(range(first, max(first, last) + 1))
    here = moment.state.at.get(d.name)
    if here is None and d.name in wanted.gear:
        at = wanted.gear[d.name].at
        here = moment.state.at.get(at) if isinstance(at, str) else None if at is None else np.array(at)
    near = [k for k in reversed(gaps) if here is not None and _touches(moment, run, k, here)]
    if not near and here is not None:
        near = sorted(gaps, key=lambda k: _beside_strand(moment, run, k, here))[:1]
    if grabs:  # a grab goes on the strand that bears, a device on the one that does not
        tension = world.hang(moment).tension
        near.sort(key=lambda k: tension.get((d.rope, k - 1), 0.0), reverse=True)
    named = [_named(moment, d.rope, run, k, here) for k in near or [*reversed(gaps)][:1]]
    return list(dict.fromkeys(named))


def _beside_strand(moment: Moment, run: tuple[Contact, ...], k: int, here: Array) -> float:
    """How far [m] a place is from the strand that ends at contact ``k`` of a run."""
    if not 0 < k < len(run) or not run[k].target or not run[k - 1].target:
        return 1e9
    a, b = moment.state.at[run[k - 1].target or ""], moment.state.at[run[k].target or ""]
    along = b - a
    share = float(np.clip((here - a) @ along / max(float(along @ along), 1e-9), 0.0, 1.0))
    return float(np.linalg.norm(a + share * along - here))


def _at(run: tuple[Contact, ...], contact: Contact) -> int:
    return next((k for k, c in enumerate(run) if c.target == contact.target and c.target), -1)


def _touches(moment: Moment, run: tuple[Contact, ...], k: int, here: Array) -> bool:
    """Whether a contact beside a gap of the run is where the gear is."""
    beside = [run[i] for i in (k - 1, k) if 0 <= i < len(run) and run[i].verb != "hand"]
    return any(c.target and float(np.linalg.norm(moment.state.at[c.target] - here)) < 0.05 for c in beside)


def _named(
    moment: Moment, rope: str, run: tuple[Contact, ...], k: int, here: Array | None
) -> tuple[str, str]:
    """A gap of a run as `below chest`, by the neighbour nearer to ``here``; nothing at the free end."""
    if k == len(run) - 1 and run[-1].verb in ("tail", "hand"):
        return "", ""

    def away(i: int) -> float:
        target = run[i].target if 0 <= i < len(run) else None
        return (
            1e9
            if not target
            else 0.0
            if here is None
            else float(np.linalg.norm(moment.state.at[target] - here))
        )

    for i in sorted((k - 1, k), key=away):
        target = run[i].target if 0 <= i < len(run) else None
        for side in ("below", "above"):
            if target and run[i].verb != "hand" and place_for(moment, rope, target, side) == k:
                return target, side
    return "", ""


def _state(moment: Moment, wanted: Rig, name: str) -> Iterator[Step]:
    item = moment.rig.gear.get(name)
    if item is None or not moment.ropes_of(name):
        return
    target = wanted.gear[name].state
    if target == "locked-off":
        yield Step("", "lock-off", gear=name)
    elif item.state == "locked-off":
        yield Step("", "undo", gear=name)
    elif target == "in-hand":
        yield Step("", "open", gear=name)
    else:
        yield Step("", "close", gear=name)


# --- what makes a refused step possible


def enabling(
    world: World, moment: Moment, refused: Iterable[tuple[Step, tuple[Fault, ...]]]
) -> Iterator[Step]:
    """Steps that may take away what refused others: by the kind of fault, never by the kind of rig."""
    kinds = {fault.kind for _, faults in refused for fault in faults}
    about = {fault.about for _, faults in refused for fault in faults}
    devices = [
        item
        for item in moment.rig.gear.values()
        if world.catalogue[item.type].family == "device" and moment.ropes_of(item.name)
    ]
    bears = world.hang(moment).bears
    if kinds & {"untended", "hands", "too-few-hands-off", "runs", "drops", "falls"}:
        for item in devices:
            if item.state == "in-hand":
                yield Step("", "close", gear=item.name)
            elif item.state == "running" and world.catalogue[item.type].holding.locks_off:
                yield Step("", "lock-off", gear=item.name)
    if kinds & {"not-tested"}:
        for item in (*devices, *_grabs(world, moment)):
            if item.name not in moment.tested and bears.get(item.name, 0.0) > BEARS:
                yield Step("", "inch-test", gear=item.name)
    if kinds & {"loaded", "drops"}:
        yield from _unloading(world, moment)
    if kinds & {"untended", "runs", "cannot", "falls"}:
        for rope in moment.rig.ropes.values():
            if rope.run[-1].verb == "tail" and any(moment.on(rope.name, d.name) is not None for d in devices):
                for person in world.procedure.people:
                    yield Step(person, "hand-on", rope=rope.name)
    if "cannot" in kinds:
        for item in devices:
            if item.name in about and item.state == "locked-off":
                yield Step("", "undo", gear=item.name)
    if "reach" in kinds:
        yield from _closer(world, moment, refused)
    if kinds & {"hands", "cannot"}:
        for rope_name in moment.rig.ropes:
            who = moment.hand_of(rope_name)
            if who is not None:
                yield Step(who, "hand-off", rope=rope_name)


def _closer(
    world: World, moment: Moment, refused: Iterable[tuple[Step, tuple[Fault, ...]]]
) -> Iterator[Step]:
    """Somebody who hauls himself comes within reach of what was too far up."""
    reach = world.policy.number("reach-on-rope") or 0.0
    for step, faults in refused:
        if step.gear not in moment.state.at or all(f.kind != "reach" for f in faults):
            continue
        for load in moment.rig.loads.values():
            up = float(moment.state.at[step.gear][2] - moment.state.at[load.name][2])
            if up > reach and any(moment.hand_of(rope) == load.name for rope in moment.rig.ropes):
                yield Step(load.name, "haul", load=load.name, by=round(up - reach + 0.05, 2), way="up")


def _grabs(world: World, moment: Moment) -> list[Gear]:
    return [
        g
        for g in moment.rig.gear.values()
        if world.catalogue[g.type].family == "grab" and moment.ropes_of(g.name)
    ]


def _unloading(world: World, moment: Moment) -> Iterator[Step]:
    """Ways to take weight off something: stand up in a foot loop, let go of a rope, give the weight to
    another rope, take it on one.
    """
    for rope in moment.rig.ropes.values():
        if world.catalogue[rope.type].holding.life_support or len(rope.run) != 2:
            continue
        for target in (c.target or "" for c in rope.run):
            if target in moment.rig.loads and moment.loop_of(target) is None:
                yield Step(target, "stand", rope=rope.name)
    for item in moment.rig.gear.values():
        kind = world.catalogue[item.type]
        on = moment.ropes_of(item.name)
        tended = next((who for name in on if (who := moment.hand_of(name))), None)
        if kind.family != "device" or tended is None:
            continue
        if item.state == "in-hand" or (kind.holding.needs_hand and item.state == "running"):
            yield from _givings(world, moment, tended, on)
        elif item.state == "running" and kind.holding.opens_under_load:
            yield Step(tended, "open", gear=item.name)
    for name in moment.rig.ropes:
        who = moment.hand_of(name)
        if who:
            yield from _givings(world, moment, who, [name])
            yield Step(who, "hand-off", rope=name)  # what only a hand keeps tight goes slack
            yield Step(who, "take-weight", rope=name)


def _givings(world: World, moment: Moment, who: str, besides: list[str]) -> Iterator[Step]:
    """Weight given to what does not bear yet: another rope, or a grab or device at a fixed place."""
    bears = world.hang(moment).bears
    for name in moment.rig.ropes:
        if name not in besides and world.catalogue[moment.rig.ropes[name].type].holding.life_support:
            yield Step(who, "give-weight", part=name)
    for item in moment.rig.gear.values():
        family = world.catalogue[item.type].family
        fast = family in ("grab", "device") and item.at in moment.rig.points
        if fast and moment.ropes_of(item.name) and bears.get(item.name, 0.0) <= BEARS:
            yield Step(who, "give-weight", part=item.name)


# --- words


_WORDS = {
    "unclip": "unclip {gear}",
    "lock": "lock the gate of {gear}",
    "untie": "untie {rope} from {part}",
    "take-off": "take {gear} off {rope}",
    "let-off": "let off {gear}",
    "grip": "grip with {gear}",
    "hand-on": "hand on {rope}",
    "hand-off": "hand off {rope}",
    "open": "open {gear}",
    "close": "let {gear} close",
    "lock-off": "lock off {gear}",
    "undo": "undo the lock-off of {gear}",
    "inch-test": "inch-test {gear}",
    "give-weight": "give weight to {part}",
    "take-weight": "take weight on {rope}",
    "stand": "stand in {rope}",
    "sit": "sit down",
}


def worded(step: Step, sheaves: int = 1) -> Step:
    """The step with its line, as a file would have it; ``sheaves``: how many its pulley has."""
    if step.verb in _WORDS:
        text = _WORDS[step.verb].format(gear=step.gear, rope=step.rope, part=step.part)
    elif step.verb == "clip":
        via = f" with {' and '.join(step.via)}" if step.via else ""
        text = f"clip {step.gear} to {step.part}{via}{' and lock' if step.locked else ''}"
    elif step.verb == "haul":
        text = f"haul {step.load} up {step.by or 0.0:.2f} m"
    else:
        text = _on_a_rope(step, sheaves)
    return replace(step, text=text)


def _on_a_rope(step: Step, sheaves: int) -> str:
    sheave = f".{step.sheave}" if sheaves > 1 else ""
    beside = f" {step.side} {step.beside}" if step.beside else ""
    slack = f" with {1000 * step.slack:.0f} mm slack" if step.slack else ""
    if step.verb == "take-out":
        return f"take {step.rope} out of {step.gear}{sheave}"
    if step.verb == "reeve":
        return f"reeve {step.rope} through {step.gear}{sheave}{beside}"
    if step.verb == "tie":
        knot = f" with {step.knot}" if step.knot else ""
        return f"tie {step.rope} to {step.part}{knot}{beside}"
    return f"put {step.gear} on {step.rope}{beside}{slack}{' wrong way round' if step.reversed else ''}"
