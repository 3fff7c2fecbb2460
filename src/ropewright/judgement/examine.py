"""Everything that is asked of a rig, asked once: motion, rest, letting go, limit, strengths, who is held
by what.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.mechanics import (
    SAMPLES,
    Hung,
    MechanicsError,
    NoSolutionError,
    Rest,
    as_it_stands,
    hang_at_rest,
    held,
    limit,
    rest_bounds,
    settle,
)
from ropewright.quantity import Range
from ropewright.rig import Rig

from .assemble import Assembly, assemble
from .board import Board, board
from .chains import Holding, holding
from .components import Component, components, holding_nobody
from .drags import RangeEnd
from .figures import Figures, Used
from .hands import OverAsked, fallen, hand_grips, over_asked
from .lanes import lane_at, lanes
from .letting_go import Aftermath, let_go
from .loads import pulls
from .moved import CannotMove, Moved, move_rig, spread
from .parts import ALIKE, HAND, PartLoad, caps, part_loads, rest_pulls, strengths
from .policy import Policy
from .state import State
from .together import rest_of_lane, rest_of_whole

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Failure:
    """A component and what follows when it alone fails; ``weakest`` is, for each lane, the part nearest its
    strength then, with its factor; ``lane`` the lane of every part that is in one.
    """

    component: Component
    after: Aftermath
    weakest: Mapping[int, tuple[str, float]]
    lane: Mapping[str, int]

    def concerns(self, part: str) -> bool:
        """Whether what fails hangs together with a part or load: if not, nothing changes there."""
        own = self.lane.get(self.component.part)
        return own is None or self.lane.get(part, own) == own

    def weakest_for(self, load: str) -> tuple[str, float] | None:
        """The part nearest its strength then among those that hang together with a load, with its factor."""
        return self.weakest.get(self.lane[load])

    def catch_on(self, part: str) -> float:
        """Force on a part in the catch, ropes at their stiffest, over the force once everything hangs still:
        1 where nothing is caught that hangs together with it (docs/theory/catches.md).
        """
        return self._catches.get(self.lane.get(part, -1), 1.0)

    @cached_property
    def _catches(self) -> dict[int, float]:
        """The ratio for each lane in which something is caught, that of the hardest catch in it."""
        system, node, out = self.after.assembly.system, self.after.assembly.node, dict[int, float]()
        for o in self.after.outcomes:
            if o.verdict == "held" and o.peak is not None:
                ratio = o.peak.high / max(1.0, float(system.weight[node[o.load]]))
                lane = self.lane[o.load]
                out[lane] = max(out.get(lane, 1.0), ratio)
        return out


@dataclass(frozen=True)
class AtRest:
    """Bounds of every strand's tension at rest [N]; ``high`` is infinite where the load does not bound it."""

    assembly: Assembly
    low: Array
    high: Array


@dataclass(frozen=True)
class Ultimate:
    """The greatest multiple of the loads and what goes first then ('' if friction gives out).

    ``hands_off``: without any hand; ``kind``: whether that is a part that breaks, a grip that slips, a hand
    that can't hold, friction that no longer does, or nothing that is known.
    """

    multiple: float
    first: str
    hands_off: bool
    kind: Literal["part", "slip", "hand", "friction", "none"] = "part"


class Later:
    """What is asked of a rig once it is wanted, and then kept: what follows when something fails, who is held
    by what, how much the whole bears.
    """

    def __init__(
        self,
        failures: Callable[[], tuple[Failure, ...]],
        failures_later: Callable[[], tuple[Failure, ...]],
        holdings: Callable[[], tuple[Holding, ...]],
        limit: Callable[[], Ultimate | None],
    ) -> None:
        self._failures, self._failures_later = failures, failures_later
        self._holdings, self._limit = holdings, limit

    def ask(self) -> None:
        """Ask everything now."""
        _ = self.failures, self.holdings, self.limit, self.failures_later

    @cached_property
    def failures(self) -> tuple[Failure, ...]:
        """Every single failure."""
        return self._failures()

    @cached_property
    def failures_later(self) -> tuple[Failure, ...]:
        """Failures near the lower end of a lowering."""
        return self._failures_later()

    @cached_property
    def holdings(self) -> tuple[Holding, ...]:
        """How each load is held."""
        return self._holdings()

    @cached_property
    def limit(self) -> Ultimate | None:
        """The greatest multiple of the loads."""
        return self._limit()


NOTHING_LATER = Later(tuple, tuple, tuple, lambda: None)
"""Where nothing more was asked."""


@dataclass(frozen=True)
class Examination:
    """All answers for one rig."""

    rig: Rig
    policy: Policy
    assembly: Assembly
    figures: tuple[Used, ...]
    haul: Moved | CannotMove | None
    lower: Moved | CannotMove | None
    stands: bool
    standing: Rest | None
    hung: Hung | None
    rest: AtRest | None
    hands_off: Aftermath | None
    parts: tuple[PartLoad, ...]
    components: tuple[Component, ...]
    grip: Mapping[str, float]
    over_asked: OverAsked | None = None
    later: Later = NOTHING_LATER

    @property
    def failures(self) -> tuple[Failure, ...]:
        """Every single failure, in the order of the components."""
        return self.later.failures

    @property
    def failures_later(self) -> tuple[Failure, ...]:
        """Failures near the lower end of a lowering."""
        return self.later.failures_later

    @property
    def holdings(self) -> tuple[Holding, ...]:
        """How each load is held."""
        return self.later.holdings

    @property
    def limit(self) -> Ultimate | None:
        """The greatest multiple of the loads; None where that is not known."""
        return self.later.limit

    @cached_property
    def boards(self) -> Mapping[int, Board]:
        """The board of each motion that can be done, by its direction."""
        return {m.direction: board(m) for m in (self.haul, self.lower) if isinstance(m, Moved)}


def examine(
    rig: Rig,
    catalogue: Catalogue,
    samples: int = SAMPLES,
    *,
    postponed: bool = False,
    to_the_end: bool = True,
) -> Examination:
    """Ask the model everything.

    ``postponed``: what fails and what then follows, who is held by what and the whole rig's limit are asked
    only once somebody reads them, which is for pages that show the forces first. ``to_the_end``: look at the
    motions near the end of a stroke too. Raises only what the mechanics cannot even set up; troubles of the
    rig are in the answers.
    """
    figures, policy = Figures(rig, catalogue), Policy(rig)
    parts = components(rig, catalogue)
    never = holding_nobody(rig, catalogue, parts)
    haul = _motion(rig, catalogue, figures, 1, samples, to_the_end)
    lower = _motion(rig, catalogue, figures, -1, samples, to_the_end)
    plain = assemble(rig, catalogue, figures=figures)
    grip = hand_grips(rig, policy)
    braked = assemble(rig, catalogue, figures=figures, braked=True)
    standing, state = _standing(plain, braked, haul, lower)
    stands = state is not None
    state = state or plain.state(plain.system)
    hands_off = let_go(rig, catalogue, state, figures=figures, gone=never, hands_off=True)
    later = Later(
        lambda: tuple(_failure(rig, catalogue, figures, state, part, grip, never) for part in parts),
        lambda: _failures_later(rig, catalogue, figures, lower, parts, grip, never),
        lambda: tuple(holding(rig, catalogue, name, parts, never) for name in rig.loads),
        lambda: None if standing is None else _limit(plain, standing, hands_off, grip),
    )
    if not postponed:
        later.ask()
    hung = _hanging(plain, haul, lower, standing)
    rest = _rest(rig, catalogue, figures, haul, lower, standing, hung, hands_off)
    loads = _worst(plain, figures, catalogue, haul, lower, standing, hung, hands_off)
    return Examination(
        rig,
        policy,
        plain,
        tuple(figures.used.values()),
        haul,
        lower,
        stands,
        standing,
        hung,
        rest,
        hands_off,
        loads,
        parts,
        grip,
        _over_asked(plain, catalogue, standing, state, hands_off, grip),
        later,
    )


def _over_asked(
    plain: Assembly,
    catalogue: Catalogue,
    standing: Rest | None,
    state: State,
    hands_off: Aftermath,
    grip: Mapping[str, float],
) -> OverAsked | None:
    """Whether the hands can keep the rig where it stands, at the central figures and with friction at its
    least, lane by lane. Not asked where everything is held without them.
    """
    if standing is None or all(o.verdict == "held" for o in hands_off.outcomes):
        return None
    apart = lanes(plain.rig, plain.figures)
    friction: tuple[Literal["likely", "light"], ...] = ("likely", "light")
    for taken in friction:
        found: list[tuple[str, float, float]] = []
        for lane in apart if len(apart) > 1 else ():
            left = assemble(lane.rig, catalogue, figures=lane.figures, state=state, friction=taken)
            found += over_asked(left, rest_of_lane(left, plain, standing), grip)
        if len(apart) < 2:
            whole = plain
            if taken == "light":
                whole = assemble(plain.rig, catalogue, figures=plain.figures, state=state, friction="light")
            found += over_asked(whole, standing, grip)
        if found:
            return OverAsked(tuple(found), taken)
    return None


def _motion(
    rig: Rig, catalogue: Catalogue, figures: Figures, direction: int, samples: int, to_the_end: bool
) -> Moved | CannotMove | None:
    asked = rig.haul if direction > 0 else rig.lower
    if asked is None:
        return None
    load, way = asked.load, asked.distance
    return move_rig(rig, catalogue, figures, direction, load, way, samples, to_the_end=to_the_end)


def _standing(
    plain: Assembly, braked: Assembly, haul: Moved | CannotMove | None, lower: Moved | CannotMove | None
) -> tuple[Rest | None, State | None]:
    """The rig halted, hands holding: as it stands in its motion, or settled from the drawing.

    None where a load would fall.
    """
    for moved in (haul, lower):
        if isinstance(moved, Moved):
            now = as_it_stands(moved.assembly.system, moved.motion)
            tension = moved.motion.real.tension[:, 0]
            passed = np.zeros(len(plain.system.contacts))
            rest = Rest(now.position, tension, now.strands.laid, passed, 0.0, True)
            return _others_settled(plain, plain.state(now), moved.load, rest)
    system = braked.system
    keeps = held(system)
    if not all(keeps[plain.node[name]] for name in plain.rig.loads):
        return None, None
    rest = settle(system, movable=np.flatnonzero(keeps & ~system.fixed))
    if not rest.settled:
        return None, None
    return rest, plain.state(system.with_state(rest.position, rest.laid))


def _others_settled(plain: Assembly, state: State, load: str, rest: Rest) -> tuple[Rest, State]:
    """The halted rig, every lane that shares nothing with the load that was moved settled as if alone."""
    apart, at = lanes(plain.rig, plain.figures), lane_at(plain.rig, plain.figures)
    found: list[tuple[Assembly, Rest | None]] = []
    for lane in apart if len(apart) > 1 else ():
        own = assemble(lane.rig, plain.figures.catalogue, figures=lane.figures, braked=True)
        keeps = held(own.system)
        movable = np.flatnonzero(keeps & ~own.system.fixed)
        alone = None if lane.number == at[load] else settle(own.system, movable=movable)
        hangs = alone is not None and alone.settled and all(keeps[own.node[name]] for name in lane.rig.loads)
        found.append((own, alone if hangs else rest_of_lane(own, plain, rest)))
    settled = rest_of_whole(plain, found)
    if settled is None:
        return rest, state
    return settled, plain.state(plain.system.with_state(settled.position, settled.laid))


def _failure(
    rig: Rig,
    catalogue: Catalogue,
    figures: Figures,
    state: State,
    part: Component,
    grip: Mapping[str, float],
    never: tuple[Component, ...],
) -> Failure:
    gone = dict.fromkeys((part, *never))
    after = let_go(rig, catalogue, state, figures=figures, gone=gone, grip=grip)
    lane = lane_at(rig, figures)
    return Failure(part, after, weakest(after, lane), lane)


def _failures_later(
    rig: Rig,
    catalogue: Catalogue,
    figures: Figures,
    lower: Moved | CannotMove | None,
    parts: tuple[Component, ...],
    grip: Mapping[str, float],
    never: tuple[Component, ...],
) -> tuple[Failure, ...]:
    """What follows when anchors, gear and ropes fail at the lower end of a lowering, where rope is long
    and ground near.
    """
    if not isinstance(lower, Moved) or lower.later is None:
        return ()
    now = as_it_stands(lower.assembly.system, lower.later.motion)
    state = lower.assembly.state(now)
    return tuple(
        _failure(rig, catalogue, figures, state, part, grip, never)
        for part in parts
        if part.kind in ("anchor", "gear", "rope")
    )


def weakest(after: Aftermath, lane: Mapping[str, int]) -> dict[int, tuple[str, float]]:
    """For each lane the part with the least strength over load once everything hangs still again, the first
    of those alike; nothing for a lane where no known strength is loaded.
    """
    best: dict[int, tuple[str, float]] = {}
    if after.rest is None or not after.rest.settled:
        return best
    for item in strengths(after.assembly):
        load = float(after.loads[item.part][0]) if item.part in after.loads else 0.0
        if item.value is None or load <= 1.0:
            continue
        factor, of = item.value.low / load, lane.get(item.bearer, -1)
        if of not in best or factor < best[of][1] * (1 - ALIKE):
            best[of] = (item.part, factor)
    return best


def _rest(
    rig: Rig,
    catalogue: Catalogue,
    figures: Figures,
    haul: Moved | CannotMove | None,
    lower: Moved | CannotMove | None,
    standing: Rest | None,
    hung: Hung | None,
    hands_off: Aftermath,
) -> AtRest | None:
    heavy = assemble(rig, catalogue, figures=figures, friction="heavy")
    positions = [m.motion.real.position[:, :, 0].T for m in (haul, lower) if isinstance(m, Moved)]
    if not positions and standing is not None:
        positions.append(standing.position)
    if hands_off.rest is not None and all(o.verdict == "held" for o in hands_off.outcomes):
        positions.append(hands_off.rest.position)
    low = np.full(len(heavy.system.strands), np.inf)
    high = np.zeros(len(heavy.system.strands))
    for position in positions:
        bounds = rest_bounds(heavy.system, position)
        if bounds is not None:
            low, high = np.minimum(low, bounds[0]), np.maximum(high, bounds[1])
    if not np.isfinite(low).all():
        return None
    for tension in (m.hung.tension for m in (haul, lower) if isinstance(m, Moved) and m.hung):
        low, high = np.minimum(low, tension), np.maximum(high, tension)
    if hung is not None:
        low, high = np.minimum(low, hung.tension), np.maximum(high, hung.tension)
    return AtRest(heavy, low, high)


def _hanging(
    plain: Assembly, haul: Moved | CannotMove | None, lower: Moved | CannotMove | None, standing: Rest | None
) -> Hung | None:
    """The rig at rest with its long strands hanging, for rigs that do not move; None where that does not
    apply.
    """
    if standing is None or isinstance(haul, Moved) or isinstance(lower, Moved):
        return None
    try:
        return hang_at_rest(plain.system, standing)
    except NoSolutionError:
        return None


def _at_stretch(
    plain: Assembly, figures: Figures, catalogue: Catalogue, end: RangeEnd
) -> dict[str, Array] | None:
    """Loads of the parts at rest with every rope at an end of its stiffness; None where it does not
    settle.
    """
    other = assemble(plain.rig, catalogue, figures=figures, braked=True, stretch=end)
    keeps = held(other.system)
    rest = settle(other.system, movable=np.flatnonzero(keeps & ~other.system.fixed), near=True)
    return part_loads(other, rest_pulls(other, rest)) if rest.settled else None


def _worst(
    plain: Assembly,
    figures: Figures,
    catalogue: Catalogue,
    haul: Moved | CannotMove | None,
    lower: Moved | CannotMove | None,
    standing: Rest | None,
    hung: Hung | None,
    hands_off: Aftermath,
) -> tuple[PartLoad, ...]:
    states: list[tuple[str, dict[str, Array], dict[str, Array]]] = []
    at = lane_at(plain.rig, plain.figures)
    moves = {at[m.load] for m in (haul, lower) if isinstance(m, Moved)}
    stay = moves and any(number not in moves for number in at.values())
    for name, moved in (("hauling", haul), ("lowering", lower)):
        if isinstance(moved, Moved):
            likely = part_loads(moved.assembly, moved.pulls, moved.borne)
            sampled = part_loads(
                moved.assembly, pulls(moved.assembly, moved.samples.position, moved.samples.tension)
            )
            states.append((name, likely, sampled))
            if moved.later is not None:
                further = part_loads(moved.assembly, moved.later.pulls)
                states.append((f"{name}, near the end of a stroke", further, further))
    if (stay or not states) and standing is not None:
        found = part_loads(plain, rest_pulls(plain, standing, hung))
        ends = [_at_stretch(plain, figures, catalogue, end) for end in ("low", "high")]
        ranged = {
            part: np.concatenate([load, *(e[part] for e in ends if e is not None)])
            for part, load in found.items()
        }
        states.append(("at rest", found, ranged))
    if hands_off.rest is not None and hands_off.rest.settled:
        found = part_loads(hands_off.assembly, rest_pulls(hands_off.assembly, hands_off.rest))
        states.append(("hands off", found, found))
    out = []
    for item in strengths(plain):
        best: tuple[Range, str] = (Range.exactly(0.0), states[0][0] if states else "")
        moved_here = not moves or at.get(item.bearer, next(iter(moves))) in moves
        for name, likely, sampled in states:
            if item.part not in likely or (
                stay and name != "hands off" and (name == "at rest") == moved_here
            ):
                continue
            likeliest = float(likely[item.part][0])
            few = sampled[item.part].shape[0] < 10  # ends of a range, not samples of it
            here = (
                Range(float(sampled[item.part].min()), likeliest, float(sampled[item.part].max()))
                if few
                else spread(sampled[item.part], likeliest)
            )
            if here.likely > best[0].likely * (1 + 1e-6):
                best = (here, name)
        load = best[0]
        strength = None if item.value is None else item.value.low
        factor = None if strength is None or load.likely < 1.0 else strength / load.likely
        out.append(PartLoad(item.part, item.kind, load, best[1], strength, factor, item.source, item.line))
    return tuple(out)


GIVE = 1e-4
"""Force left over that the limit programme allows, as a share of the weight: what settling and slack grabs
leave."""
ENDLESS = 0.999e6
"""Multiple of the loads from which the programme has met no bound but its own."""


def _limit(
    plain: Assembly, standing: Rest, hands_off: Aftermath, grip: Mapping[str, float]
) -> Ultimate | None:
    """The limit with every hand off where everything is then held, otherwise with the hands holding what they
    can.

    The gear's weight grows with the loads', so that the points stay where they are; it is small beside
    them.
    """
    alone = hands_off.rest is not None and all(o.verdict == "held" for o in hands_off.outcomes)
    assembly, rest = (hands_off.assembly, hands_off.rest) if alone and hands_off.rest else (plain, standing)
    known = caps(assembly, grip)
    try:
        found = limit(
            assembly.system,
            rest.position,
            assembly.system.weight,
            known,
            hands=not alone,
            band=GIVE,
            dropped=fallen(assembly),
        )
    except MechanicsError:
        return None
    if found is None:
        return None
    if not math.isfinite(found.multiple) or found.multiple >= ENDLESS:
        return Ultimate(math.inf, "", alone, "none")
    if found.first >= 0:
        name = known[found.first].name
        return Ultimate(found.multiple, name, alone, "hand" if name.startswith(HAND) else "part")
    if found.slips >= 0:
        wire = assembly.wires[found.slips]
        return Ultimate(found.multiple, f"{wire.contact.target} slips on {wire.rope}", alone, "slip")
    return Ultimate(found.multiple, "", alone, "friction")
