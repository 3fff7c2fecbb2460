"""Showing a figure with no more digits than it deserves, in metric, US units or both."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from ropewright.quantity.figure_range import Range
from ropewright.quantity.units import UNITS, Kind, System

__all__ = [
    "Units",
    "first_system",
    "in_units",
    "show",
    "show_angle",
    "show_force",
    "show_length",
    "show_mass",
    "show_range",
]

Units = Literal["metric", "us", "both", "both-us"]
"""What is printed: one system, or both with metric first (`both`) or US units first (`both-us`)."""


@dataclass(frozen=True, slots=True)
class _Style:
    """How one unit is printed: its name, its SI value, and the decimals for a given size."""

    label: str
    si: float
    decimals: Callable[[float], int]
    strip: bool = False  # drop closing zeros: for what people put in, not for what is worked out


def _by_size(*steps: tuple[float, int]) -> Callable[[float], int]:
    """Return a rule: the decimals of the first step that the size reaches (steps fall in size)."""
    return lambda size: next((decimals for least, decimals in steps if size >= least), steps[-1][1])


# The size is compared after rounding to three digits, so that 9.999 is printed as 10.0, not 10.00.
_KN = _Style("kN", UNITS["kN"].si, _by_size((100, 0), (10, 1), (0.1, 2), (0, 3)))
_LBF = _Style("lbf", UNITS["lbf"].si, _by_size((10, 0), (0, 1)))
_KG = _Style("kg", 1.0, _by_size((100, 0), (10, 1), (0, 2)), strip=True)
_LB = _Style("lb", UNITS["lb"].si, _by_size((10, 0), (1, 1), (0, 2)), strip=True)
_M = _Style("m", 1.0, _by_size((100, 0), (10, 1), (0, 2)), strip=True)
_FT = _Style("ft", UNITS["ft"].si, _by_size((100, 0), (0, 1)), strip=True)
_MM = _Style("mm", UNITS["mm"].si, _by_size((10, 1), (0, 2)), strip=True)
_IN = _Style("in", UNITS["in"].si, _by_size((10, 1), (0, 2)), strip=True)
_DEG = _Style("°", UNITS["deg"].si, _by_size((10, 0), (0, 1)), strip=True)
_PLAIN = _Style("", 1.0, _by_size((100, 0), (10, 1), (0.1, 2), (0, 3)))
_GM = _Style("g/m", UNITS["g/m"].si, _by_size((10, 0), (0, 1)), strip=True)
_LB100 = _Style("lb/100 ft", UNITS["lb/100ft"].si, _by_size((10, 0), (0, 1)), strip=True)

_SHORT = 0.1  # m; below this a length is printed in mm and inches


def in_units(metric: str, us: str, units: Units) -> str:
    """Return what is printed of two texts that say the same: one, or one with the other in brackets."""
    if units in ("metric", "us"):
        return metric if units == "metric" else us
    return f"{us} ({metric})" if units == "both-us" else f"{metric} ({us})"


def first_system(units: Units) -> System:
    """Return the system whose figure comes first."""
    return "us" if units in ("us", "both-us") else "metric"


def show_force(force: float, units: Units = "both") -> str:
    """Return a force given in N as text: `0.93 kN (210 lbf)`; with "both-us" `210 lbf (0.93 kN)`."""
    return show(force, "force", units)


def show_mass(mass: float, units: Units = "both") -> str:
    """Return a mass given in kg as text: `95 kg (209 lb)`."""
    return show(mass, "mass", units)


def show_length(length: float, units: Units = "both") -> str:
    """Return a length given in m as text: `9 m (29.5 ft)`, or `12.5 mm (0.49 in)` when short."""
    return show(length, "length", units)


def show_angle(angle: float) -> str:
    """Return an angle given in rad as text: `112°`."""
    return show(angle, "angle")


def show(value: float, kind: Kind, units: Units = "both") -> str:
    """Return an SI value as text with at most three significant digits; `units` picks the systems."""
    return show_range(Range.exactly(value), kind, units) if math.isfinite(value) else "no figure"


def show_range(figure: Range, kind: Kind, units: Units = "both", *, likely: bool = False) -> str:
    """Return an SI range as text: `0.85–0.95 kN (191–214 lbf)`; one number where both ends print alike.

    likely: name the likely value too: `0.85–0.95 kN, likely 0.90 (191–214 lbf, likely 202)`.
    """
    metric, us = _styles(kind, max(abs(figure.low), abs(figure.high)))
    if us is None:
        return _both_ends(figure, metric, likely)
    return in_units(_both_ends(figure, metric, likely), _both_ends(figure, us, likely), units)


def _styles(kind: Kind, size: float) -> tuple[_Style, _Style | None]:
    if kind == "length" and 0 < size < _SHORT:
        return _MM, _IN
    table: dict[Kind, tuple[_Style, _Style | None]] = {
        "force": (_KN, _LBF),
        "mass": (_KG, _LB),
        "length": (_M, _FT),
        "angle": (_DEG, None),
        "share": (_PLAIN, None),
        "mass_per_length": (_GM, _LB100),
    }
    return table[kind]


def _both_ends(figure: Range, style: _Style, likely: bool) -> str:
    low, high = _three_digits(figure.low / style.si), _three_digits(figure.high / style.si)
    decimals = style.decimals(max(abs(low), abs(high)))
    ends = [_number(low, decimals, style.strip), _number(high, decimals, style.strip)]
    separator = " to " if ends[0].startswith("-") or ends[1].startswith("-") else "–"
    text = ends[0] if ends[0] == ends[1] else separator.join(ends)
    text += f"{'' if style.label in {'', '°'} else ' '}{style.label}"
    if likely and ends[0] != ends[1]:
        text += f", likely {_number(_three_digits(figure.likely / style.si), decimals, style.strip)}"
    return text


def _three_digits(value: float) -> float:
    return float(f"{value:.3g}")


def _number(value: float, decimals: int, strip: bool) -> str:
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        return "0"
    return text.rstrip("0").rstrip(".") if strip and "." in text else text
