"""The figures of a rig while its load is hauled or lowered, with their doubt."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.mechanics import (
    GRAVITY,
    SAMPLES,
    Friction,
    Hung,
    Motion,
    Moving,
    NoSolutionError,
    StuckError,
    Travel,
    draw,
    friction_of,
    hang_rig,
    importance,
    move,
    solve_moving,
    solve_samples,
    travel,
)
from ropewright.quantity import Range, show_force
from ropewright.rig import Rig

from .assemble import Assembly, assemble
from .components import joins_of
from .drags import DragSource
from .figures import Figures
from .ground import ground_for
from .lanes import lane_at
from .loads import Pulls, borne, pulls
from .parts import strengths

Array = NDArray[np.float64]
LEAST_WAY = 2e-3
"""Way [m] that is looked at even where a load stands on the ground as drawn."""
PROBE = 0.5
"""Way [m] after which a motion is looked at again, to see whether it goes on as it began."""
LATE = 0.98
"""Share of a stroke at which forces are looked at once more where something ends it: strands that close up
turn most at its end, and on the ground nothing hangs. A lowering that nothing ends is looked at to its last.
"""
KNOT_ROOM = 0.15
"""Room [m] that a knot with its loop takes between a strand and what it is tied to: this project's own
planning figure."""


@dataclass(frozen=True)
class Moved:
    """A rig in motion. Percentiles are of the samples, ``likely`` the answer at the central figures.

    ``ideal`` counts no friction and only the loads' weight; ``actual`` is lifted weight over hand force;
    ``rope_per_metre`` [m] passes one hand per metre of load travel; ``begun`` [m] on its way is where the
    figures stand; ``later`` the same near the end of a stroke, ``later_unsolved`` why nothing was found
    there; ``matters`` are (input, share of the spread
    in hand force), greatest first.
    """

    direction: int
    load: str
    assembly: Assembly
    motion: Motion
    weight: float
    ideal: float
    actual: Range
    hand_force: Range
    hands: int
    rope_per_metre: float
    samples: Moving
    pulls: Pulls
    borne: dict[str, Array]
    matters: tuple[tuple[str, float], ...]
    travel: Travel
    unsolved_samples: int
    hung: Hung | None
    begun: float
    later: Later | None
    later_unsolved: str = ""

    def tension(self, strand: int) -> Range:
        """Tension [N] of a strand."""
        return spread(self.samples.tension[strand], float(self.central.tension[strand, 0]))

    @property
    def central(self) -> Moving:
        """Positions and forces at the central figures, long strands hanging under their weight."""
        if self.hung is None:
            return self.motion.real
        return Moving(
            self.hung.position.T[:, :, None],
            self.hung.tension[:, None],
            np.array([self.hung.hand]),
            self.motion.real.residual,
        )


@dataclass(frozen=True)
class Later:
    """The rig near the end of a stroke: ``at`` [m] on its way, its motion there, central figures only."""

    at: float
    motion: Motion
    pulls: Pulls

    @property
    def hand(self) -> float:
        """Pull of one hand [N]."""
        return float(self.motion.real.hand[0])


@dataclass(frozen=True, slots=True)
class CannotMove:
    """Why a motion that the rig asks for cannot be; ``at`` names the part that shows it, ``line`` its
    place in the file.
    """

    direction: int
    load: str
    kind: str
    text: str
    at: str
    line: int


def spread(samples: Array, likely: float) -> Range:
    """5th percentile, central answer, 95th percentile; the central one never outside the two."""
    ordered = np.sort(samples)  # np.percentile would import numpy's masked arrays, a tenth of a cold start
    low, high = np.interp(
        [0.05 * (len(ordered) - 1), 0.95 * (len(ordered) - 1)], np.arange(len(ordered)), ordered
    )
    return Range(min(float(low), likely), likely, max(float(high), likely))


def move_rig(
    rig: Rig,
    catalogue: Catalogue,
    figures: Figures,
    direction: int,
    load: str,
    goal: float,
    count: int = SAMPLES,
    *,
    to_the_end: bool = True,
) -> Moved | CannotMove:
    """Haul (+1) or lower (−1) ``load`` by ``goal`` [m]. ``to_the_end``: look near the end of a stroke too.

    Hands on ropes that share nothing with the load keep what they have meanwhile.
    """
    goal = _down_to_the_ground(rig, load, goal) if direction < 0 else goal
    lane = lane_at(rig, figures)
    others = frozenset(name for name in rig.ropes if lane[name] != lane[load])
    assembly = assemble(rig, catalogue, figures=figures, load=load, kept=others)
    try:
        motion, begun = _under_way(assembly, direction, goal)
    except StuckError as error:
        return _cannot(assembly, direction, load, error)
    beyond = _beyond(assembly, motion)
    if beyond is not None:
        return replace(beyond, direction=direction, load=load)
    names, inputs, friction, mass = sample_inputs(assembly, motion, count)
    solved = solve_samples(motion, friction, mass)
    good = solved.residual <= 1e-5 * motion.system.moved_weight
    way = travel(motion, room(assembly), max(goal - begun, 1e-3), _floors(assembly))
    way = replace(way, reach=way.reach + begun)
    hung = _hung(motion)
    solved = _as_hung(solved, motion, hung)
    central = pulls(assembly, motion.real.position, motion.real.tension, hung)
    weights = _lifted(assembly, motion, mass)
    weight = float(_lifted(assembly, motion, motion.system.mass[:, None])[0])
    hand = solved.hand[good]
    shares = importance(inputs[:, good], hand) if good.sum() > 10 else np.zeros(len(names))
    order = np.argsort(-shares)
    real = hung.hand if hung is not None else float(motion.real.hand[0])
    return Moved(
        direction,
        load,
        assembly,
        motion,
        weight,
        _ideal(assembly, motion, weight),
        spread(weights[good] / hand, weight / real),
        spread(hand, real),
        motion.hands,
        abs(motion.hand_travel),
        Moving(solved.position[:, :, good], solved.tension[:, good], hand, solved.residual[good]),
        central,
        borne(assembly, central),
        tuple((names[k], float(shares[k])) for k in order if shares[k] > 0.01)[:3],
        way,
        int((~good).sum()),
        hung,
        begun,
        *(_later(assembly, direction, _share(direction, way) * way.reach) if to_the_end else (None, "")),
    )


def _down_to_the_ground(rig: Rig, load: str, goal: float) -> float:
    """How far a load is lowered that is to go down by ``goal`` [m]: on the ground it hangs no more."""
    floor = ground_for(rig, load)
    return goal if floor is None else min(goal, max(LEAST_WAY, rig.loads[load].at[2] - floor.at[2]))


def _floors(assembly: Assembly) -> Array:
    """The height (n,) [m] at which each load stands on the ground, none for all else."""
    out = np.full(len(assembly.system.position), -np.inf)
    for name in assembly.rig.loads:
        floor = ground_for(assembly.rig, name)
        if floor is not None:
            n = assembly.node[name]
            out[n] = max(out[n], floor.at[2])
    return out


def _beyond(assembly: Assembly, motion: Motion) -> CannotMove | None:
    """Why a motion can't be whose pull is more than the strongest thing in the rig bears: friction on the way
    multiplies at every turn, and a figure without end is none. None where it is not so, or nothing is known.
    """
    known = [item.value.high for item in strengths(assembly) if item.value is not None]
    if not known or motion.direction < 0 or float(motion.real.hand[0]) <= max(known):
        return None
    end = next(
        end.contact
        for k, (_, end) in enumerate(assembly.ends)
        if end.contact.verb == "hand" and motion.blocks.kind[int(motion.blocks.member[k])] == "hand"
    )
    at = end.target or ""
    text = (
        f"friction on the way asks for more at {at} than anything in the rig bears, which is "
        f"{show_force(max(known))} at most"
    )
    return CannotMove(1, "", "friction", text, at, end.line)


def _under_way(assembly: Assembly, direction: int, goal: float) -> tuple[Motion, float]:
    """The motion from where the load is drawn, or from a little further on, [m], where other contacts hold by
    then.

    A crew that pulls aside first swings the haul over, rope passing nowhere; what counts is the haul that
    follows.
    """
    first = move(assembly.system, direction)
    probe = min(PROBE, 0.5 * goal)
    try:
        second = move(assembly.system, direction, probe)
    except StuckError:
        return first, 0.0
    return (first, 0.0) if second.stance.held == first.stance.held else (second, probe)


def _share(direction: int, way: Travel) -> float:
    return 1.0 if direction < 0 and way.meets < 0 and way.stands < 0 else LATE


def _later(assembly: Assembly, direction: int, at: float) -> tuple[Later | None, str]:
    """The rig at ``at`` [m] on its way; None, and why, where it can't be solved there."""
    try:
        motion = move(assembly.system, direction, at)
    except StuckError as error:
        return None, str(error)
    return Later(at, motion, pulls(assembly, motion.real.position, motion.real.tension)), ""


def _hung(motion: Motion) -> Hung | None:
    """The moving rig with its long strands as catenaries; None where no rope's weight counts or Newton
    does not close.
    """
    if not motion.system.strands.weight.any():
        return None
    real, system = motion.real, motion.system
    height = float(real.position[2, system.load, 0])
    try:
        return hang_rig(
            system,
            motion.stance,
            motion.blocks,
            friction_of(system, motion.stance),
            real.position[:, :, 0].T,
            real.tension[:, 0],
            float(real.hand[0]),
            height,
        )
    except NoSolutionError:
        return None


def _as_hung(solved: Moving, motion: Motion, hung: Hung | None) -> Moving:
    """Samples scaled by what hanging does to the central answer."""
    if hung is None:
        return solved
    straight = motion.real.tension[:, 0]
    ratio = np.where(straight > 0, hung.tension / np.where(straight > 0, straight, 1.0), 1.0)
    hand = solved.hand * (hung.hand / float(motion.real.hand[0]))
    return Moving(solved.position, solved.tension * ratio[:, None], hand, solved.residual)


def _cannot(assembly: Assembly, direction: int, load: str, error: StuckError) -> CannotMove:
    line = 0
    at = assembly.system.names[error.node] if error.node >= 0 else load
    if error.contact >= 0:
        wire = assembly.wires[error.contact]
        at, line = wire.contact.target or at, wire.contact.line
    for section in (assembly.rig.gear, assembly.rig.loads, assembly.rig.points, assembly.rig.crews):
        if not line and at in section:
            line = section[at].line
    return CannotMove(direction, load, error.kind, str(error), at, line)


def _lifted(assembly: Assembly, motion: Motion, mass: Array) -> Array:
    """Weight (N,) [N] of all loads, each by how fast it rises against the load that is moved."""
    out = np.zeros(mass.shape[1])
    velocity = motion.rates.velocity[:, 2] / motion.direction
    own = {name: assembly.node[name] for name in assembly.rig.loads}
    gear = assembly.system.mass.copy()
    for name, n in own.items():
        gear[n] -= assembly.rig.loads[name].mass.likely
    for n in set(own.values()):
        out = out + velocity[n] * (mass[n] - gear[n]) * GRAVITY
    return out


def _ideal(assembly: Assembly, motion: Motion, weight: float) -> float:
    """Lifted weight over hand force without friction and with weightless gear, solved anew."""
    bare = np.zeros((len(motion.system.mass), 1))
    for name, load in assembly.rig.loads.items():
        bare[assembly.node[name]] += load.mass.likely
    system = motion.system
    height = float(system.position[system.load, 2])
    start = motion.frictionless.position[:, :, 0].T
    light = solve_moving(
        system,
        motion.stance,
        friction_of(system, motion.stance, 0.0),
        height,
        start,
        float(motion.frictionless.hand[0]),
        bare,
    )
    if light.residual[0] > 1e-6 * system.moved_weight or light.hand[0] <= 0:
        return weight / float(motion.frictionless.hand[0])
    return weight / float(light.hand[0])


def room(assembly: Assembly) -> Array:
    """Least length (S,) [m] of every strand: the room that the things at its ends take."""
    out = np.zeros(len(assembly.system.strands))
    for k in range(len(out)):
        for wire in assembly.strand_ends(k):
            contact = wire.contact
            if contact.verb == "tie":
                out[k] += KNOT_ROOM
            item = assembly.rig.gear.get(contact.target or "")
            if item is not None:
                out[k] += assembly.figures.likely(item.name, item.type, "length", 0.1)
    return out


def sample_inputs(assembly: Assembly, motion: Motion, count: int) -> tuple[list[str], Array, Friction, Array]:
    """Draw the ranges of friction and mass of all that hangs together with the load: their names, samples
    (K, N), friction (C, N) and masses (n, N).
    """
    ranges: dict[str, Range] = {}
    rig = assembly.rig
    lane = lane_at(rig, assembly.figures)
    own = {lane[part] for part, n in assembly.node.items() if n == motion.system.load and part in lane}
    loads = [load for load in rig.loads.values() if lane[load.name] in own]
    for wire, slip, keeps in zip(assembly.wires, motion.stance.slip, motion.stance.held, strict=True):
        source = wire.forward if slip > 0 else wire.backward
        if slip and not keeps and source.figure is not None and source.figure.value is not None:
            ranges[source.figure.name] = source.figure.value
    for load in loads:
        ranges[f"mass of {load.name}"] = load.mass
    masses = [(n, name, value) for part, n, name, value in _gear_masses(assembly) if lane.get(part) in own]
    for _, name, value in masses:
        ranges.setdefault(name, value)
    names = list(ranges)
    values = list(ranges.values())
    drawn = draw([v.low for v in values], [v.likely for v in values], [v.high for v in values], count)
    row = {name: drawn[k] for k, name in enumerate(names)}
    friction = _sampled_friction(assembly, motion, row, count)
    mass = np.repeat(motion.system.mass[:, None], count, axis=1)
    for load in loads:
        mass[assembly.node[load.name]] += row[f"mass of {load.name}"] - load.mass.likely
    for n, name, value in masses:
        mass[n] += row[name] - value.likely
    return names, drawn, friction, np.maximum(mass, 0.0)


def _gear_masses(assembly: Assembly) -> list[tuple[str, int, str, Range]]:
    out = []
    for item in assembly.rig.gear.values():
        for part, kind in ((item.name, item.type), *((j, j) for j in joins_of(assembly.rig, item.name))):
            used = assembly.figures.get(part, kind, "mass")
            if used.value is not None:
                out.append((item.name, assembly.node[item.name], used.name, used.value))
    return out


def _sampled_friction(assembly: Assembly, motion: Motion, row: dict[str, Array], count: int) -> Friction:
    central = friction_of(motion.system, motion.stance)
    fixed = np.repeat(central.fixed, count, axis=1)
    per = np.repeat(central.per_radian, count, axis=1)
    for c, wire in enumerate(assembly.wires):
        slip = motion.stance.slip[c]
        source: DragSource = wire.forward if slip > 0 else wire.backward
        if not slip or motion.stance.held[c] or source.figure is None or source.figure.name not in row:
            continue
        values = row[source.figure.name]
        if source.form == "turn":
            per[c] = -np.log(values) / np.pi
        elif source.form == "capstan":
            per[c] = values
        elif source.form == "fixed":
            fixed[c] = -np.log(values)
        elif source.form == "ratio":
            fixed[c] = np.log(values)
    return Friction(fixed, per)
