"""A finding, and what the rules look at to make one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ropewright.catalogue import Catalogue
from ropewright.judgement.assemble import Assembly
from ropewright.judgement.chains import Holding
from ropewright.judgement.examine import Examination, Failure
from ropewright.judgement.geometry import Legs, Redirect, legs, redirects
from ropewright.judgement.lanes import lane_at
from ropewright.judgement.loads import Pulls
from ropewright.judgement.moved import Moved
from ropewright.judgement.parts import ALIKE, PartLoad, rest_pulls, strengths
from ropewright.judgement.rules.codes import CODES
from ropewright.judgement.spare import Spare, spares
from ropewright.mechanics import Rest
from ropewright.quantity import Units, show_force, show_length, show_mass
from ropewright.rig import Load

__all__ = ["LEVELS", "LOADED", "UNBROKEN", "Case", "Context", "Finding", "Level", "in_state", "ratio"]

LOADED = 1.0
"""Force [N] below which a part counts as not loaded."""
UNBROKEN = 1.0
"""The factor that is asked after a failure and in a catch: not to break."""
SAME = 1e-3
"""Share by which loads of two states have to differ for the later one to be told."""
Level = Literal["stop", "question", "caution", "note"]
LEVELS: tuple[Level, ...] = ("stop", "question", "caution", "note")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that the check has to say.

    ``line``: of the rig file, 0 for none; ``repair``: what would mend it; ``part``: the part it is about;
    ``open``: an open question that keeps the rig outside policy; ``group``: a sentence under which several
    findings of one code may be listed by their parts.
    """

    level: Level
    code: str
    text: str
    line: int = 0
    repair: str = ""
    part: str = ""
    open: bool = False
    group: str = ""

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise ValueError(f"no finding has the code {self.code}; known codes stand in rules/codes.py")


@dataclass(frozen=True)
class Case:
    """The rig in one state: forces at the central figures, where everything is (n, 3) [m], and which flat
    contacts hold rope then.
    """

    state: str
    assembly: Assembly
    found: Pulls
    position: NDArray[np.float64]
    holds: tuple[bool, ...]

    @cached_property
    def legs(self) -> tuple[Legs, ...]:
        """Where legs of an anchor meet; asked once, since every part asks."""
        return tuple(legs(self.assembly, self.found, self.position))

    @cached_property
    def redirects(self) -> tuple[Redirect, ...]:
        """Where one rope turns; asked once, since every part asks."""
        return tuple(redirects(self.assembly, self.found, self.position))


def in_state(state: str) -> str:
    """A state in a sentence: `while hauling`, `at rest`, `with every hand off`."""
    return {"hauling": "while hauling", "lowering": "while lowering", "hands off": "with every hand off"}.get(
        state, state
    )


def ratio(value: float, asked: float | None = None) -> str:
    """A ratio in words, with three digits at most: `9.28`, `37.6`, `2120`; one that is less than what is
    ``asked`` is never rounded up to it: `9.99` of 10.
    """
    if value >= 1e6:
        return "over a million"
    shown = float(f"{value:.3g}")
    if asked is not None and value < asked <= shown:
        step = 10.0 ** (math.floor(math.log10(value)) - 2)
        shown = math.floor(value / step) * step
    return f"{float(f'{shown:.3g}'):.12g}"


class Context:
    """An examination with what several rules ask of it; figures are worded in ``units``.

    ``first``: as if nobody had asked what fails, who is held by what and how much the whole bears.
    """

    def __init__(self, examination: Examination, units: Units = "both", first: bool = False) -> None:
        self.x, self.units, self.first = examination, units, first
        self.rig, self.policy = examination.rig, examination.policy

    @property
    def failures(self) -> tuple[Failure, ...]:
        """Every single failure."""
        return () if self.first else self.x.failures

    @property
    def failures_later(self) -> tuple[Failure, ...]:
        """Failures near the lower end of a lowering, of what hangs together with the load that is lowered."""
        moved = self.x.lower
        if self.first or not isinstance(moved, Moved):
            return ()
        return tuple(f for f in self.x.failures_later if f.concerns(moved.load))

    @property
    def late(self) -> str:
        """How a finding about the lower end of a lowering begins: `after 34.3 m down, `."""
        later = self.x.lower.later if isinstance(self.x.lower, Moved) else None
        return "" if later is None else f"after {self.length(later.at)} down, "

    @property
    def holdings(self) -> tuple[Holding, ...]:
        """How each load is held."""
        return () if self.first else self.x.holdings

    @property
    def catalogue(self) -> Catalogue:
        """The catalogue that the rig was read with."""
        return self.x.assembly.figures.catalogue

    @property
    def factor(self) -> float:
        """The static factor asked for; 1 where the policy has none: no part may break."""
        return max(1.0, self.policy.number("static-factor") or 1.0)

    def asked(self, part: str) -> float:
        """The static factor asked of one part: a grab's own where the policy has one, else everybody's."""
        item = self.rig.gear.get(part)
        own = self.policy.number("grab-factor")
        if own is None or item is None or self.catalogue[item.type].family != "grab":
            return self.factor
        return max(1.0, own)

    @property
    def people(self) -> tuple[Load, ...]:
        """The loads that are persons or litters; the others are test weights."""
        return tuple(load for load in self.rig.loads.values() if load.kind in ("person", "litter"))

    def loads_with(self, part: str) -> tuple[Load, ...]:
        """The loads that hang together with a part; all of them for what is in no lane."""
        lane = lane_at(self.rig, self.x.assembly.figures)
        own = lane.get(part)
        return tuple(load for load in self.rig.loads.values() if own is None or lane[load.name] == own)

    def force(self, newtons: float) -> str:
        """A force [N] in words."""
        return show_force(newtons, self.units)

    def mass(self, kilograms: float) -> str:
        """A mass [kg] in words."""
        return show_mass(kilograms, self.units)

    def length(self, metres: float) -> str:
        """A length [m] in words; less than a millimetre is none."""
        return show_length(0.0 if abs(metres) < 1e-3 else metres, self.units)

    @cached_property
    def motions(self) -> tuple[Moved, ...]:
        """The haul and the lowering, those that can be done."""
        return tuple(m for m in (self.x.haul, self.x.lower) if isinstance(m, Moved))

    @cached_property
    def moving(self) -> tuple[Case, ...]:
        """The rig while it is hauled and lowered."""
        out = []
        for m in self.motions:
            state = "hauling" if m.direction > 0 else "lowering"
            position = m.motion.real.position[:, :, 0].T
            out.append(Case(state, m.assembly, m.pulls, position, m.motion.stance.held))
        return tuple(out)

    @cached_property
    def still(self) -> tuple[Case, ...]:
        """The rig halted with hands on, and with every hand off, where it comes to rest."""
        x, out = self.x, []
        if x.standing is not None:
            out.append(_resting("at rest", x.assembly, x.standing))
        if x.hands_off is not None and x.hands_off.rest is not None and x.hands_off.rest.settled:
            out.append(_resting("hands off", x.hands_off.assembly, x.hands_off.rest))
        return tuple(out)

    @cached_property
    def failed(self) -> tuple[Case, ...]:
        """The rig after each single failure that leaves some load held."""
        return tuple(
            Case(
                f"once {f.component.label} has failed",
                f.after.assembly,
                f.after.pulls,
                f.after.rest.position,
                _holding(f.after.assembly),
            )
            for f in self._held_after
            if f.after.rest is not None and f.after.pulls is not None
        )

    @cached_property
    def _held_after(self) -> tuple[Failure, ...]:
        """The single failures that leave some load held that they concern, everything hanging still then. One
        that comes down on the ground first counts as if it were higher up: what would catch it there has to
        bear it.
        """
        return tuple(
            f
            for f in self.failures
            if f.after.rest is not None
            and f.after.rest.settled
            and any(
                ((o.verdict == "held" and o.reason == "") or o.strikes) and f.concerns(o.load)
                for o in f.after.outcomes
            )
        )

    @cached_property
    def after_failure(self) -> dict[str, tuple[float, str]]:
        """For each part its greatest load [N] after a single failure, and after which, the first of those
        that load it alike.
        """
        out: dict[str, tuple[float, str]] = {}
        for f in self._held_after:
            for part, load in f.after.loads.items():
                more = float(load[0]) > out.get(part, (0.0, ""))[0] * (1 + ALIKE)
                if more and f.concerns(self.bearer.get(part, part)):
                    out[part] = (float(load[0]), f"once {f.component.label} has failed")
        return out

    def carried(self, part: PartLoad) -> tuple[float, str, bool]:
        """What a part is judged by: its largest load [N] over all states, after a failure too, which state
        that is, and whether it is one with nothing failed.
        """
        later, why = self.after_failure.get(part.part, (0.0, ""))
        if later > part.load.likely * (1 + SAME):
            return later, why, False
        return part.load.likely, part.state, True

    @cached_property
    def bearer(self) -> dict[str, str]:
        """For everything that has a strength the part of the rig file whose load it bears."""
        return {item.part: item.bearer for item in strengths(self.x.assembly)}

    @cached_property
    def caught(self) -> dict[str, tuple[float, str]]:
        """For each part the greatest force [N] of a catch on it, ropes at their stiffest, and which failure
        it is the catch of. Catches that load nothing more than what then hangs there are left out.
        """
        return self._caught_in(self.failures)

    @cached_property
    def caught_later(self) -> dict[str, tuple[float, str]]:
        """The same near the lower end of a lowering."""
        return self._caught_in(self.failures_later)

    def _caught_in(self, failures: tuple[Failure, ...]) -> dict[str, tuple[float, str]]:
        out: dict[str, tuple[float, str]] = {}
        for f in failures:
            if f.after.rest is None or not any(o.peak is not None for o in f.after.outcomes):
                continue
            for part, load in f.after.loads.items():
                bearer = self.bearer.get(part, part)
                force = f.catch_on(bearer) * float(load[0])
                if (
                    f.catch_on(bearer) > 1.0
                    and force >= LOADED
                    and force > out.get(part, (0.0, ""))[0] * (1 + SAME)
                ):
                    out[part] = (force, f.component.label)
        return out

    @cached_property
    def hardest_caught(self) -> tuple[PartLoad, float, str] | None:
        """The part that a catch brings nearest its strength, the force [N], and what has failed then."""
        known = [(p, *self.caught[p.part]) for p in self.x.parts if p.strength and p.part in self.caught]
        return max(known, key=lambda c: c[1] / (c[0].strength or 1.0), default=None)

    @cached_property
    def spares(self) -> tuple[Spare, ...]:
        """What is laid behind each releasable anchor."""
        return spares(self.rig, self.catalogue, self.x.assembly, self.policy)

    @property
    def here(self) -> NDArray[np.float64]:
        """Where everything is (n, 3) [m]: halted, or as drawn where it does not stand."""
        system = self.x.assembly.system
        return system.position if self.x.standing is None else self.x.standing.position


def _resting(state: str, assembly: Assembly, rest: Rest) -> Case:
    return Case(state, assembly, rest_pulls(assembly, rest), rest.position, _holding(assembly))


def _holding(assembly: Assembly) -> tuple[bool, ...]:
    return tuple(c.holds != "none" for c in assembly.system.contacts)
