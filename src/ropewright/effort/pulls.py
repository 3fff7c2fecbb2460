"""The pull that a rig takes for any mass of its load, all masses solved at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.judgement.assemble import Assembly, assemble
from ropewright.judgement.components import Component, components
from ropewright.judgement.examine import Examination
from ropewright.judgement.figures import Figures
from ropewright.judgement.moved import CannotMove, Moved, move_rig, sample_inputs
from ropewright.judgement.policy import Policy
from ropewright.mechanics import SAMPLES, Friction, Stance, StuckError, friction_of, move, solve_samples
from ropewright.quantity import Range
from ropewright.rig import Motion, Rig

__all__ = ["Prepared", "hand_forces", "prepare"]

Array = NDArray[np.float64]
UNSOLVED = 1e-5
"""Force left over, as a share of the weight, above which an answer is not used."""


@dataclass(frozen=True)
class Prepared:
    """A rig that has been moved once, its loads at their likely masses.

    ``load`` is what is hauled, else lowered, else the first of the file; None where the file has none.
    """

    rig: Rig
    catalogue: Catalogue
    policy: Policy
    assembly: Assembly
    haul: Moved | CannotMove | None
    lower: Moved | CannotMove | None
    components: tuple[Component, ...]

    @property
    def load(self) -> str | None:
        """The load that people are put in the place of."""
        asked = self.rig.haul or self.rig.lower
        return asked.load if asked else next(iter(self.rig.loads), None)

    @property
    def motions(self) -> tuple[Moved, ...]:
        """The haul and the lowering, those that can be done."""
        return tuple(m for m in (self.haul, self.lower) if isinstance(m, Moved))

    def asked(self, moved: Moved) -> Motion:
        """What the file asks of a motion."""
        motion = self.rig.haul if moved.direction > 0 else self.rig.lower
        assert motion is not None  # a motion is solved only where one is asked for
        return motion

    def examination(self) -> Examination:
        """An examination that holds the motions and nothing else: no failures were asked for."""
        return Examination(
            rig=self.rig,
            policy=self.policy,
            assembly=self.assembly,
            figures=tuple(self.assembly.figures.used.values()),
            haul=self.haul,
            lower=self.lower,
            stands=False,
            standing=None,
            hung=None,
            rest=None,
            hands_off=None,
            parts=(),
            components=self.components,
            grip={},
        )


def prepare(rig: Rig, catalogue: Catalogue, samples: int = SAMPLES) -> Prepared:
    """Move a rig once, its load's mass taken at its likely figure, so that the doubt left is the gear's."""
    plain = _with_mass(rig, None)
    figures = Figures(plain, catalogue)
    moves: list[Moved | CannotMove | None] = []
    for asked, direction in ((plain.haul, 1), (plain.lower, -1)):
        moves.append(
            None
            if asked is None
            else move_rig(plain, catalogue, figures, direction, asked.load, asked.distance, samples)
        )
    return Prepared(
        rig,
        catalogue,
        Policy(plain),
        assemble(plain, catalogue, figures=figures),
        moves[0],
        moves[1],
        components(plain, catalogue),
    )


def hand_forces(prepared: Prepared, moved: Moved, masses: Iterable[Range]) -> dict[Range, Range | None]:
    """The pull (or, lowering, the hold) of one hand [N] for each mass [kg] of the load that is moved.

    All masses are solved in one go with the friction and the gear that give the 5th, the central and the
    95th percentile at the file's own mass. None where no answer was found. A mass with a range takes its
    low end with the low friction and its high end with the high. Where the lightest mass (beside
    other loads the heaviest too) changes what passes and what holds, each mass is moved on its own.
    """
    wanted = list(dict.fromkeys(masses))
    if not wanted:
        return {}
    ends = sorted({min(m.low for m in wanted), max(m.high for m in wanted)})
    # the gear counts for less the heavier a lone load is: what the lightest leaves as it is stays so
    asked = ends if len(prepared.rig.loads) > 1 else ends[:1]
    if any(_stance_at(prepared, moved, mass) != moved.motion.stance for mass in asked):
        return {m: _one_by_one(prepared, moved, m) for m in wanted}
    hangs = {moved.assembly.rig.loads[moved.load].mass.likely: _hang_ratio(moved)}
    if moved.hung is not None:
        hangs |= {mass: _hang_ratio(_moved_alone(prepared, moved, mass, 2)) for mass in ends}
    return _all_at_once(moved, wanted, hangs)


def _stance_at(prepared: Prepared, moved: Moved, mass: float) -> Stance | None:
    """What passes and what holds at another mass of the load; None where it can't be moved."""
    system = moved.assembly.system
    masses = system.mass.copy()
    masses[system.load] += mass - prepared.rig.loads[moved.load].mass.likely
    try:
        return move(system.with_masses(masses), moved.direction).stance
    except StuckError:
        return None


def _all_at_once(
    moved: Moved, wanted: Sequence[Range], hangs: Mapping[float, float]
) -> dict[Range, Range | None]:
    columns, gear = _percentiles(moved)
    mass = np.array([[m.low, m.likely, m.high] for m in wanted]).ravel()
    friction = Friction(
        np.tile(columns.fixed, (1, len(wanted))), np.tile(columns.per_radian, (1, len(wanted)))
    )
    all_masses = np.tile(gear, (1, len(wanted)))
    all_masses[moved.assembly.node[moved.load]] += mass
    solved = solve_samples(moved.motion, friction, all_masses)
    at = sorted(hangs)
    hand = solved.hand * np.interp(mass, at, [hangs[m] for m in at])
    good = solved.residual.reshape(-1, 3).max(axis=1) <= UNSOLVED * moved.motion.system.moved_weight
    rows = hand.reshape(-1, 3)
    return {
        m: Range(float(row.min()), float(row[1]), float(row.max())) if fine else None
        for m, row, fine in zip(wanted, rows, good, strict=True)
    }


def _percentiles(moved: Moved) -> tuple[Friction, Array]:
    """Friction (C, 3) and masses without the load's own (n, 3) [kg] of the samples whose pull is the 5th
    percentile, of the central answer, and of the 95th.
    """
    total = moved.samples.hand.size + moved.unsolved_samples
    _, _, friction, mass = sample_inputs(moved.assembly, moved.motion, total)
    hand = moved.samples.hand
    kept = np.arange(total)
    if moved.unsolved_samples:
        again = solve_samples(moved.motion, friction, mass)
        kept = np.flatnonzero(again.residual <= UNSOLVED * moved.motion.system.moved_weight)
        hand = again.hand[kept]
    order = kept[np.argsort(hand)]
    low, high = order[round(0.05 * (len(order) - 1))], order[round(0.95 * (len(order) - 1))]
    central = friction_of(moved.motion.system, moved.motion.stance)
    gear = np.column_stack([mass[:, low], moved.motion.system.mass, mass[:, high]])
    gear[moved.assembly.node[moved.load]] -= moved.assembly.rig.loads[moved.load].mass.likely
    return Friction(
        np.column_stack([friction.fixed[:, low], central.fixed[:, 0], friction.fixed[:, high]]),
        np.column_stack(
            [friction.per_radian[:, low], central.per_radian[:, 0], friction.per_radian[:, high]]
        ),
    ), gear


def _hang_ratio(moved: Moved | CannotMove) -> float:
    """What the weight of long strands makes of the pull."""
    if isinstance(moved, CannotMove) or moved.hung is None:
        return 1.0
    return moved.hung.hand / float(moved.motion.real.hand[0])


def _moved_alone(prepared: Prepared, moved: Moved, mass: float, samples: int) -> Moved | CannotMove:
    rig = _with_mass(prepared.rig, (moved.load, mass))
    distance = 1e-3  # how far it can go does not depend on the mass and is known
    figures = Figures(rig, prepared.catalogue)
    return move_rig(rig, prepared.catalogue, figures, moved.direction, moved.load, distance, samples)


def _one_by_one(prepared: Prepared, moved: Moved, mass: Range) -> Range | None:
    found = [_moved_alone(prepared, moved, m, 200) for m in dict.fromkeys((mass.low, mass.likely, mass.high))]
    forces = [m.hand_force for m in found if isinstance(m, Moved)]
    if len(forces) < len(found):
        return None
    middle = forces[len(forces) // 2].likely
    return Range(min(f.low for f in forces), middle, max(f.high for f in forces))


def _with_mass(rig: Rig, own: tuple[str, float] | None) -> Rig:
    """The rig with every load at its likely mass, one of them at another."""
    loads = {
        name: replace(
            load, mass=Range.exactly(own[1] if own is not None and own[0] == name else load.mass.likely)
        )
        for name, load in rig.loads.items()
    }
    return replace(rig, loads=loads)
