"""What happens when something lets go: who is held, who falls, who runs, and on what the rest then hangs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.mechanics import Rest, can_rest, held, led_to_hands, settle, spring_peak
from ropewright.quantity import Range
from ropewright.rig import Rig

from .assemble import Assembly, assemble
from .components import Component
from .figures import Figures
from .ground import STANDS, ground_below
from .hands import shared
from .lanes import lane_at, lanes
from .loads import Pulls, grip_difference
from .parts import part_loads, rest_pulls
from .state import State
from .together import rest_of_whole

Verdict = Literal["held", "falls", "runs", "not worked out"]
UNKNOWN: Verdict = "not worked out"
"""The verdict where the model found no answer: nobody is told to be held by it, nor to fall."""
NO_REST = "the model found no rest for what is left"
NO_TENSIONS = "the model found no tensions that keep it where it came to rest, though nothing slips there"
HARDLY = 0.05
"""Drop [m] below which nothing is caught to speak of."""
MORE = 0.02
"""Share by which a load is made heavier to feel how stiffly it hangs."""
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What becomes of one load.

    ``drop`` [m] down to where it hangs, or to the ground, or None where neither is known; ``swing`` [m]
    sideways; ``reason`` in a few words. ``peak`` [N] is the force on a load that drops and is caught, with
    its ropes from once to twice as stiff as in a slow pull, and ``lowest`` [m] how far down it then
    bounces; None where it hardly drops. ``strikes``: it comes down on the ground though its ropes would hold
    it in the end; ``beneath``: how they would with room beneath it, None where they would not.
    """

    load: str
    verdict: Verdict
    drop: float | None
    swing: float
    reason: str
    peak: Range | None = None
    lowest: float | None = None
    strikes: bool = False
    beneath: Beneath | None = None


@dataclass(frozen=True, slots=True)
class Beneath:
    """How a load that strikes the ground would be held with room beneath it: ``drop`` [m] to where it would
    hang, ``lowest`` [m] in the catch, ``peak`` [N] at the hardest.
    """

    drop: float
    lowest: float
    peak: float


@dataclass(frozen=True)
class Aftermath:
    """Everything after something let go.

    ``rest`` is None where nothing is left to settle; ``assembly`` is what is left; ``gave_way`` are the loads
    on whose ropes hands were asked for more than they can hold, ``hands_let_go`` those of them that then
    let go alone.
    """

    outcomes: tuple[Outcome, ...]
    assembly: Assembly
    rest: Rest | None
    gave_way: frozenset[str] = frozenset()
    hands_let_go: tuple[Component, ...] = ()

    @property
    def hands_gave_way(self) -> bool:
        """Whether any hand was asked for more than it can hold."""
        return bool(self.gave_way)

    def verdict(self, load: str) -> Verdict:
        """The verdict for one load."""
        return next(o.verdict for o in self.outcomes if o.load == load)

    @cached_property
    def pulls(self) -> Pulls | None:
        """The ropes' pulls once everything hangs still; None where nothing is left to settle."""
        return None if self.rest is None else rest_pulls(self.assembly, self.rest)

    @cached_property
    def loads(self) -> Mapping[str, Array]:
        """The load (1,) [N] on everything then; empty where nothing is left to settle."""
        return {} if self.pulls is None else part_loads(self.assembly, self.pulls)


def drawing_height(rig: Rig) -> float:
    """Height [m] between the highest and the lowest thing drawn."""
    z = [p.at[2] for p in rig.points.values()]
    z += [p.at[2] for p in rig.loads.values()]
    z += [p.at[2] for p in rig.crews.values()]
    z += [g.at[2] for g in rig.gear.values() if g.at is not None and not isinstance(g.at, str)]
    return max(z) - min(z) if z else 0.0


def let_go(
    rig: Rig,
    catalogue: Catalogue,
    state: State,
    *,
    figures: Figures | None = None,
    gone: Iterable[Component] = (),
    hands_off: bool = False,
    grip: Mapping[str, float] | None = None,
    braked: bool = True,
) -> Aftermath:
    """Let ``gone`` fail, or every hand leave, from ``state``, and see where it ends.

    ``grip``: what the hands at each place can hold [N]; hands asked for more let go too. ``braked``: a hand
    keeps rope from running through a device even before its own slack is out. A load is held only if
    connection, settling and the linear programme all say so. Lanes that share nothing are asked one by one.
    """
    gone = tuple(gone)
    figures = figures or Figures(rig, catalogue)
    apart = lanes(rig, figures)
    if len(apart) < 2:
        return _in_one(rig, catalogue, state, figures, gone, hands_off, grip or {}, braked)
    at = lane_at(rig, figures)
    found = [
        _in_one(lane.rig, catalogue, state, lane.figures, lane.own(gone, at), hands_off, grip or {}, braked)
        for lane in apart
    ]
    left = assemble(
        rig,
        catalogue,
        figures=figures,
        gone=(*gone, *(part for after in found for part in after.hands_let_go)),
        hands_off=frozenset[str]().union(*(after.assembly.loose for after in found)),
        state=state,
        braked=braked and not hands_off,
    )
    of = {outcome.load: outcome for after in found for outcome in after.outcomes}
    return Aftermath(
        tuple(of[name] for name in rig.loads),
        left,
        rest_of_whole(left, ((after.assembly, after.rest) for after in found)),
        frozenset[str]().union(*(after.gave_way for after in found)),
    )


def _in_one(
    rig: Rig,
    catalogue: Catalogue,
    state: State,
    figures: Figures,
    gone: tuple[Component, ...],
    hands_off: bool,
    grip: Mapping[str, float],
    braked: bool,
) -> Aftermath:
    """The same where everything hangs together."""
    left = assemble(
        rig,
        catalogue,
        figures=figures,
        gone=gone,
        hands_off=hands_off,
        state=state,
        braked=braked and not hands_off,
    )
    after = _judge(rig, left, state)
    if hands_off or after.rest is None or not after.rest.settled:
        return after
    light = assemble(rig, catalogue, figures=figures, gone=gone, state=state, friction="light")
    rests = all(outcome.verdict == "held" for outcome in after.outcomes)
    if _hands_hold(light, after.rest, grip, rests):
        return after
    gave = frozenset(rig.loads or ("",))
    weak = _overasked(light, after.rest, grip)
    open_ = not weak and any(outcome.verdict == UNKNOWN for outcome in after.outcomes)
    if weak and len(weak) < sum(w.contact.verb == "hand" for w in light.wires):  # the others still hold
        left_on = _in_one(rig, catalogue, state, figures, (*gone, *weak), False, grip, braked)
        return replace(left_on, gave_way=gave, hands_let_go=(*weak, *left_on.hands_let_go))
    left = assemble(rig, catalogue, figures=figures, gone=gone, hands_off=True, state=state)
    alone = replace(_judge(rig, left, state), gave_way=gave)
    if open_ and any(outcome.verdict != "held" for outcome in alone.outcomes):
        return after  # no hand is known to be asked for too much: only what holds without any is an answer
    return alone


def _overasked(light: Assembly, rest: Rest, grip: Mapping[str, float]) -> list[Component]:
    """The hands that are asked for more than they can hold, as components that let go."""
    names = _hands(light)
    asked, total = _asked_of_each(light, rest, names)
    out = []
    for k, name in names.items():
        if total[name] > grip.get(name, 0.0) and asked[k] > 0:
            end = light.strand_ends(k)[1]
            out.append(Component("hand", end.rope, end.index))
    return out


def _asked_of_each(
    light: Assembly, rest: Rest, names: Mapping[int, str]
) -> tuple[dict[int, float], dict[str, float]]:
    """What each hand has to hold [N], and what everybody with all of theirs."""
    asked = {k: _asked(light, rest, k) for k in names}
    total = dict.fromkeys(names.values(), 0.0)
    for k, name in names.items():
        total[name] += asked[k]
    return asked, total


def _hands(light: Assembly) -> dict[int, str]:
    """Who holds the end of each strand that a hand holds."""
    return {
        k: light.strand_ends(k)[1].contact.target or ""
        for k in range(len(light.system.strands))
        if light.strand_ends(k)[1].contact.verb == "hand"
        and light.system.contacts[int(light.system.strands.first[k]) + 1].end == "hand"
    }


def _hands_hold(light: Assembly, rest: Rest, grip: Mapping[str, float], settled: bool) -> bool:
    """Whether the rig can rest there with no hand beyond its grip, friction at its least.

    ``settled``: whether it rests there at all, hands holding what it takes.
    """
    names = _hands(light)
    most = {k: grip.get(name, 0.0) for k, name in names.items()}
    if not most:
        return True
    together = shared(names, grip)
    keeps = held(light.system)
    band = max(1e-5, 2 * rest.residual / light.system.moved_weight)
    guess = led_to_hands(light.system, rest.position, rest.tension)
    if can_rest(
        light.system, rest.position, dropped=~keeps, band=band, most=most, together=together, guess=guess
    ):
        return True
    if not settled or can_rest(light.system, rest.position, dropped=~keeps, band=band):
        return False
    # Not even the strongest hand keeps it just there: a pull from somebody who hangs moves them a little.
    moves = any(not light.system.fixed[int(light.system.strands.end[k])] for k in most)
    return moves and all(
        force <= grip.get(name, 0.0) for name, force in _asked_of_each(light, rest, names)[1].items()
    )


def _asked(light: Assembly, rest: Rest, strand: int) -> float:
    """The pull [N] that a hand has to hold at the end of a rope: the tension at rest further up, over the
    ratios of the devices between; bends are left out, which asks for more.
    """
    system, most, ratio = light.system, 0.0, 0.0
    for k in range(strand, -1, -1):
        if system.strands.rope[k] != system.strands.rope[strand]:
            break
        most = max(most, float(rest.tension[k]) * float(np.exp(-ratio)))
        contact = system.contacts[int(system.strands.first[k])]
        if contact.holds in ("both", "backward"):
            break
        ratio += contact.backward.fixed
    return most


def _judge(rig: Rig, left: Assembly, state: State) -> Aftermath:
    system = left.system
    keeps = held(system)
    movable = np.flatnonzero(keeps & ~system.fixed)
    rest = settle(system, movable=movable, near=True) if len(movable) else None
    rests = rest is not None and (
        rest.settled
        and can_rest(
            system,
            rest.position,
            dropped=~keeps,
            band=max(1e-5, 2 * rest.residual / system.moved_weight),
            guess=rest.tension,
        )
    )
    outcomes = tuple(_outcome(rig, left, state, name, keeps, rest, rests) for name in rig.loads)
    return Aftermath(outcomes, left, rest)


def _slips(left: Assembly, rest: Rest) -> bool:
    """Whether anything that holds a rope is asked for more than it slips from where the rest was found."""
    return any(
        abs(float(grip_difference(left, rest_pulls(left, rest), flat)[0])) > contact.slips
        for flat, contact in enumerate(left.system.contacts)
        if not contact.end and contact.holds != "none" and math.isfinite(contact.slips)
    )


def _outcome(
    rig: Rig,
    left: Assembly,
    state: State,
    load: str,
    keeps: NDArray[np.bool_],
    rest: Rest | None,
    rests: bool,
) -> Outcome:
    n = left.node[load]
    before = state.at[load]
    ground = ground_below(rig, float(before[2]), before)
    to_ground = None if ground is None else float(before[2]) - ground
    if left.system.fixed[n]:
        return Outcome(load, "held", 0.0, 0.0, "stands on something fixed")
    if not keeps[n]:
        runs = _still_on_rope(left, n)
        reason = "rope runs through with nobody holding it" if runs else "nothing holds it any more"
        return Outcome(load, "runs" if runs else "falls", to_ground, 0.0, reason)
    assert rest is not None
    if not rest.settled:
        return _unknown(load, to_ground, NO_REST)
    drop = float(before[2] - rest.position[n, 2])
    swing = float(np.hypot(*(rest.position[n, :2] - before[:2])))
    if to_ground is not None and drop > to_ground:
        reason = "reaches the ground before the rope holds"
        held_there = rests and drop <= max(drawing_height(rig), 1.0)
        beneath = _beneath(drop, *_caught(left, rest, keeps, n, drop)) if held_there else None
        return Outcome(load, "falls", to_ground, swing, reason, strikes=True, beneath=beneath)
    if not rests and not _slips(left, rest):
        return _unknown(load, to_ground, NO_TENSIONS)
    if not rests:
        return Outcome(load, "falls", to_ground, swing, "no tensions hold it there without a grip slipping")
    if drop > max(drawing_height(rig), 1.0):
        return Outcome(load, "falls", drop, swing, "drops further than the drawing is high")
    peak, lowest = _caught(left, rest, keeps, n, drop) if drop > HARDLY else (None, None)
    if lowest is not None and to_ground is not None and lowest > to_ground:
        reason = "hangs clear in the end, but strikes the ground while the rope stretches"
        beneath = None if peak is None else _beneath(drop, peak, lowest)
        return Outcome(load, "falls", to_ground, swing, reason, peak, lowest, True, beneath)
    return Outcome(load, "held", drop, swing, "", peak, lowest)


def _unknown(load: str, to_ground: float | None, why: str) -> Outcome:
    """No answer; the way down is told only of a load that stands on the ground anyhow."""
    stands = to_ground is not None and to_ground < STANDS
    return Outcome(load, UNKNOWN, to_ground if stands else None, 0.0, why)


def _beneath(drop: float, peak: Range, lowest: float) -> Beneath:
    return Beneath(drop, max(drop, lowest), peak.high)


def _caught(
    left: Assembly, rest: Rest, keeps: NDArray[np.bool_], node: int, drop: float
) -> tuple[Range, float]:
    """Peak force [N] on a load that drops onto what holds it, and how far down it goes [m].

    The stiffness is that of the whole rig as it then hangs, from settling it once more with a little more
    load.
    """
    system = left.system
    hung = system.with_state(rest.position, rest.laid)
    weight = float(system.weight[node])
    mass = system.mass.copy()
    mass[node] *= 1.0 + MORE
    heavier = settle(hung.with_masses(mass), movable=np.flatnonzero(keeps & ~hung.fixed), near=True)
    sinks = max(1e-6, float(rest.position[node, 2] - heavier.position[node, 2]))
    slow = MORE * weight / sinks
    fall = max(0.0, drop - weight / slow)
    caught = [spring_peak(weight, factor * slow, fall) for factor in (1.0, 1.5, 2.0)]
    return Range(caught[0][0], caught[1][0], caught[2][0]), max(low for _, low in caught)


def _still_on_rope(left: Assembly, node: int) -> bool:
    """Whether rope still leads from a point to something fixed, through whatever lets it run; loose ends
    lead nowhere.
    """
    system = left.system
    contacts, first = system.contacts, system.strands.first
    links: dict[int, set[int]] = {}
    for k in range(len(system.strands)):
        a, b = contacts[int(first[k])], contacts[int(first[k]) + 1]
        if a.end == "tail" or b.end == "tail":
            continue
        links.setdefault(a.node, set()).add(b.node)
        links.setdefault(b.node, set()).add(a.node)
    seen, todo = {node}, [node]
    while todo:
        for other in links.get(todo.pop(), set()) - seen:
            if system.fixed[other]:
                return True
            seen.add(other)
            todo.append(other)
    return False
