"""A published case: what was printed, what is computed from the same inputs, and whether the two may differ.

Inputs are kept in the units they were published in. A case never widens its tolerance to pass: it is the
rounding of the print, or the doubt that the print itself states, and it carries its reason.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

Verdict = Literal["right", "rounded", "wrong", "measured"]
"""What the print is worth: "right" to its own rounding; "rounded" or approximate, with a stated band;
"wrong": it contradicts statics, so the computed answer must not reproduce it; "measured": a model should
come within a band."""

EXACT = 1e-6
"""Share by which an engine answer may miss a closed form."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Largest difference allowed: ``unit`` in the case's own unit plus ``share`` of the published figure,
    and why."""

    unit: float
    share: float
    why: str

    def allows(self, published: float, computed: float) -> bool:
        """Whether the computed figure stands within the tolerance of the published one."""
        return abs(computed - published) <= self.unit + self.share * abs(published)


def digits(step: float, why: str = "half of its last printed digit") -> Tolerance:
    """The rounding of a print whose last digit counts ``step``; a hair more for figures halfway between."""
    return Tolerance(0.5000001 * step, EXACT, why)


def band(share: float, why: str) -> Tolerance:
    """A band given as a share of the published figure."""
    return Tolerance(0.0, share, why)


@dataclass(frozen=True, slots=True)
class Case:
    """One published case.

    ``published`` and what ``compute`` returns have one figure for each answer, in ``unit``. With
    ``between`` the computed figures are the ends of a range and each published figure must lie in it.
    ``through`` names what computed it.
    """

    name: str
    about: str
    published: tuple[float, ...]
    unit: str
    compute: Callable[[], Sequence[float]]
    verdict: Verdict
    tolerance: Tolerance
    source: str
    through: Literal["engine", "closed form"] = "engine"
    between: bool = False

    def agrees(self, computed: Sequence[float]) -> bool:
        """Whether the computed figures reproduce the published ones."""
        if self.between:
            low, high = min(computed), max(computed)
            room = self.tolerance
            return all(low - room.unit <= p <= high + room.unit for p in self.published)
        assert len(computed) == len(self.published), f"{self.name}: one figure for each answer"
        return all(self.tolerance.allows(p, c) for p, c in zip(self.published, computed, strict=True))


@cache
def computed(case: Case) -> tuple[float, ...]:
    """What the model says, worked out once however often it is asked for."""
    return tuple(float(x) for x in case.compute())


def as_it_should(case: Case) -> bool:
    """Whether the case is reproduced, or, if its print is wrong, is not."""
    return case.agrees(computed(case)) == (case.verdict != "wrong")


def check(case: Case) -> None:
    """Fail unless the case comes out as it should."""
    assert as_it_should(case), f"{case.name}: printed {case.published}, computed {computed(case)} {case.unit}"
