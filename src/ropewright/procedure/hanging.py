"""How a moment hangs: brought to rest by the model, what each part then bears, and who is not held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ropewright.catalogue import Catalogue
from ropewright.judgement.assemble import Assembly, assemble
from ropewright.judgement.components import Component
from ropewright.judgement.figures import Figures
from ropewright.judgement.state import State
from ropewright.mechanics import Rest, held, settle
from ropewright.rig import clipped_to

from .laying import is_knot
from .moment import Moment, rope_between, straight

__all__ = ["BEARS", "Hanging", "assembled", "hang", "open_without_hand"]

BEARS = 40.0
"""Force [N] from which a part bears weight: more than gear and hanging rope weigh, less than a foot does."""
LOOSE = 0.3
"""Slack [m] between an open device and the hand on its rope from which the hand brakes nothing: an arm's
movement, this project's own planning figure.
"""


@dataclass(frozen=True)
class Hanging:
    """A moment at rest, hands holding.

    ``moment`` has the positions and rope lengths that it settles to; ``held`` says of each load whether
    anything holds it; ``settled`` whether the model found the rest.
    """

    moment: Moment
    assembly: Assembly
    rest: Rest | None
    held: Mapping[str, bool]
    settled: bool

    @cached_property
    def tension(self) -> Mapping[tuple[str, int], float]:
        """Tension [N] of the rope after each contact."""
        if self.rest is None:
            return {}
        out = {}
        for k in range(len(self.assembly.system.strands)):
            wire, _ = self.assembly.strand_ends(k)
            out[wire.rope, wire.index] = float(self.rest.tension[k])
        return out

    def bears_at(self, rope: str, k: int) -> float:
        """What the contact ``k`` of a rope takes [N]: a hold the difference of its two sides, a sheave both,
        a knot the one.
        """
        before, after = self.tension.get((rope, k - 1), 0.0), self.tension.get((rope, k), 0.0)
        contact = self.moment.rig.ropes[rope].run[k]
        if contact.verb in ("tie", "hand"):
            return max(before, after)
        if self._turns(contact.target or ""):
            return before + after if min(before, after) > 0 else max(before, after)
        return abs(before - after)

    def _instead(self, rope: str, k: int) -> str | None:
        """What still holds a rope behind something that was laid on it under load; None for nothing."""
        away = 1 if self.tension.get((rope, k - 1), 0.0) >= self.tension.get((rope, k), 0.0) else -1
        run = self.moment.rig.ropes[rope].run
        for i in range(k + away, len(run) if away > 0 else -1, away):
            if run[i].verb in ("grip", "through", "tie") and run[i].target not in self.moment.unset:
                return run[i].target if run[i].target in self.moment.rig.gear else None
        return None

    def _turns(self, gear: str) -> bool:
        item = self.moment.rig.gear.get(gear)
        return item is not None and self.assembly_families.get(item.type) in ("pulley", "join")

    def is_device(self, gear: str) -> bool:
        """Whether gear is a device that controls a rope."""
        item = self.moment.rig.gear.get(gear)
        return item is not None and self.assembly_families.get(item.type) == "device"

    @cached_property
    def assembly_families(self) -> Mapping[str, str]:
        """The family of each type of gear on the rig."""
        catalogue = self.assembly.figures.catalogue
        return {g.type: catalogue[g.type].family for g in self.moment.rig.gear.values()}

    @cached_property
    def bears(self) -> Mapping[str, float]:
        """What each piece of gear bears [N]: what it takes from ropes that it holds or turns, or what is tied
        and clipped to it, whichever is more.
        """
        holds = dict.fromkeys(self.moment.rig.gear, 0.0)
        hangs = dict(holds)
        for rope in self.moment.rig.ropes.values():
            for k, contact in enumerate(rope.run):
                if contact.target in holds and contact.verb != "tail":
                    side = hangs if contact.verb == "tie" else holds
                    bearer = self._instead(rope.name, k) if contact.target in self.moment.unset else None
                    name, force = bearer or contact.target, self.bears_at(rope.name, k)
                    if contact.verb == "tie" and not isinstance(self.moment.rig.gear[name].at, str):
                        side[name] = max(side[name], force)  # a link between ropes bears it once
                    else:
                        side[name] += force
        out: dict[str, float] = {}
        for name in sorted(holds, key=self._depth, reverse=True):  # what hangs furthest out comes first
            out[name] = max(holds[name], hangs[name])
            over = self.moment.rig.gear[name].at
            if isinstance(over, str) and over in hangs:
                hangs[over] += out[name]
        return out

    def _depth(self, gear: str) -> int:
        """Through how many pieces of gear a piece is clipped to what it hangs on."""
        rig = self.moment.rig
        return sum(place in rig.gear for place in clipped_to(rig, gear))

    def weight_on(self) -> list[str]:
        """The gear that bears weight, heaviest first."""
        bears = [(force, name) for name, force in self.bears.items() if force > BEARS]
        return [name for _, name in sorted(bears, reverse=True)]


def open_without_hand(moment: Moment, catalogue: Catalogue) -> list[str]:
    """Devices that are held open though no hand keeps their rope: it runs through them.

    A hand keeps a rope only where there is no slack between it and the device.
    """
    out = []
    for item in moment.rig.gear.values():
        if item.state != "in-hand" or catalogue[item.type].family != "device":
            continue
        if any(not _kept_by_hand(moment, rope, item.name) for rope in moment.ropes_of(item.name)):
            out.append(item.name)
    return out


def _kept_by_hand(moment: Moment, rope: str, gear: str) -> bool:
    if moment.hand_of(rope) is None:
        return False
    run, k = moment.rig.ropes[rope].run, moment.on(rope, gear)
    behind = range(k if k is not None else 0, len(run) - 1)
    slack = sum(rope_between(moment, rope, j) - straight(moment, run, j) for j in behind)
    return slack <= LOOSE


def assembled(
    moment: Moment,
    catalogue: Catalogue,
    figures: Figures,
    *,
    gone: tuple[Component, ...] = (),
    hands_off: bool = False,
    braked: bool = True,
    load: str = "",
) -> Assembly:
    """A moment for the mechanics; loads that stand somewhere are fixed there."""
    lost = [Component("gear", name) for name in open_without_hand(moment, catalogue)]
    out = assemble(
        moment.rig,
        catalogue,
        figures=figures,
        gone=[*gone, *lost],
        hands_off=hands_off,
        braked=braked and not hands_off,
        state=moment.state,
        load=load,
    )
    if not moment.stands:
        return out
    fixed = out.system.fixed.copy()
    for name, _ in moment.stands:
        fixed[out.node[name]] = True
    return replace(out, system=replace(out.system, fixed=fixed))


def hang(moment: Moment, catalogue: Catalogue, figures: Figures) -> Hanging:
    """Bring a moment to rest. A load that nothing holds stays where it was, and is told in ``held``."""
    whole = assembled(moment, catalogue, figures)
    system = whole.system
    keeps = held(system)
    loads = {name: bool(keeps[whole.node[name]]) for name in moment.rig.loads}
    movable = np.flatnonzero(keeps & ~system.fixed)
    if not len(movable):
        return Hanging(moment, whole, None, loads, True)
    rest = settle(system, movable=movable)
    if not rest.settled:
        return Hanging(moment, whole, rest, loads, False)
    state = whole.state(system.with_state(rest.position, rest.laid))
    laid = moment.state.laid if open_without_hand(moment, catalogue) else {**moment.state.laid, **state.laid}
    out = Hanging(replace(moment, state=State(state.at, laid)), whole, rest, loads, True)
    for rope in moment.rig.ropes:
        out = _stays_in_devices(moment, out, rope)
    return out


def _stays_in_devices(before: Moment, out: Hanging, rope: str) -> Hanging:
    """Slack rope does not run through a device by the weight of its own knots and end."""
    run = before.rig.ropes[rope].run
    slack = [out.tension.get((rope, k), 0.0) <= BEARS for k in range(len(run) - 1)]
    stays: set[int] = set()
    for k in range(1, len(run) - 1):
        ran = abs(_up_to(out.moment, rope, k) - _up_to(before, rope, k)) > 1e-3
        if ran and out.is_device(run[k].target or "") and slack[k - 1] and slack[k]:
            stays |= _stretch(slack, k)
    if not stays:
        return out
    laid = {(rope, i): before.state.laid[rope, i] for i in stays if (rope, i) in before.state.laid}
    met = {run[i].target for i in stays} | {run[i + 1].target for i in stays}
    knots = {name for name in met if is_knot(before, rope, name)}
    at = {k: before.state.at[k] if k in knots else v for k, v in out.moment.state.at.items()}
    return replace(out, moment=replace(out.moment, state=State(at, {**out.moment.state.laid, **laid})))


def _stretch(slack: list[bool], k: int) -> set[int]:
    """The strands on both sides of a contact as far as they are slack."""
    first, last = k, k
    while first > 0 and slack[first - 1]:
        first -= 1
    while last < len(slack) and slack[last]:
        last += 1
    return set(range(first, last))


def _up_to(moment: Moment, rope: str, k: int) -> float:
    return sum(moment.state.laid.get((rope, i), 0.0) for i in range(k))
