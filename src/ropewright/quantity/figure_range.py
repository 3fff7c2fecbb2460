"""A figure with its doubt."""

import math
from dataclasses import dataclass

from ropewright.quantity.units import QuantityError

__all__ = ["Range", "midpoint"]


@dataclass(frozen=True, slots=True)
class Range:
    """A figure in SI units: the least it may be, the likely value, the most it may be."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.low, self.likely, self.high))):
            raise QuantityError(f"a range needs finite ends; found {self.low}, {self.likely}, {self.high}")
        if not self.low <= self.likely <= self.high:
            raise QuantityError(
                f"a range runs from low to high with the likely value between; "
                f"found {self.low:g}, {self.likely:g}, {self.high:g}"
            )

    @classmethod
    def exactly(cls, value: float) -> "Range":
        """Return the range of a figure that is known outright."""
        return cls(value, value, value)

    @classmethod
    def between(cls, low: float, high: float) -> "Range":
        """Return the range from `low` to `high` with its likely value half way."""
        return cls(low, min(max(midpoint(low, high), low), high), high)

    @property
    def is_single(self) -> bool:
        """Whether there is no doubt: all three values agree."""
        return self.low == self.high


def midpoint(low: float, high: float) -> float:
    """Return half way between two numbers, rounded to 12 digits so that 0.85 and 0.95 give 0.9."""
    return float(f"{low + (high - low) / 2:.12g}")
