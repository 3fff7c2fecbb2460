"""Where a contact's friction comes from, and what is reckoned with where nobody knows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ropewright.mechanics import Drag

from .figures import Used

GUESS: Mapping[str, float] = {"efficiency": 0.5, "ratio": 1.0, "friction": 0.4, "stiffness": 30e3}
"""What is reckoned with where a figure is not known; each use of one is an open question on the report."""

FrictionEnd = Literal["light", "likely", "heavy"]
RangeEnd = Literal["low", "likely", "high"]
Form = Literal["none", "turn", "fixed", "capstan", "ratio"]


@dataclass(frozen=True, slots=True)
class DragSource:
    """Where a contact's friction comes from: the figure and how it enters the logarithm of the tension
    ratio.
    """

    form: Form = "none"
    figure: Used | None = None
    guess: float = 1.0

    def drag(self, value: float | None = None) -> Drag:
        """The drag for a value of the figure, its central one if left out."""
        if self.form == "none":
            return Drag()
        if value is None:
            known = None if self.figure is None else self.figure.value
            value = self.guess if known is None else known.likely
        if self.form == "turn":
            return Drag(0.0, -math.log(value) / math.pi)
        if self.form == "fixed":
            return Drag(-math.log(value), 0.0)
        return Drag(0.0, value) if self.form == "capstan" else Drag(math.log(value), 0.0)

    def at(self, end: FrictionEnd) -> Drag:
        """The drag at an end of the figure's range: where friction is least, likely, or greatest."""
        if end == "likely" or self.figure is None or self.figure.value is None:
            return self.drag()
        value = self.figure.value
        shares = self.form in ("turn", "fixed")  # an efficiency: the lower, the more friction
        return self.drag(value.low if shares == (end == "heavy") else value.high)
