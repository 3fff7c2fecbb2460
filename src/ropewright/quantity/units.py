"""The units that a figure may be written in, each with its factor to SI."""

from dataclasses import dataclass
from typing import Literal

from ropewright.errors import RopewrightError

__all__ = ["ALIASES", "CEILING", "STANDARD_GRAVITY", "UNITS", "Kind", "QuantityError", "System", "Unit"]

Kind = Literal["length", "mass", "force", "angle", "share", "mass_per_length"]
System = Literal["metric", "us"]

STANDARD_GRAVITY = 9.80665  # m/s², by definition (3rd General Conference on Weights and Measures, 1901)

_FOOT = 0.3048  # m, exact by the international yard and pound agreement of 1959
_POUND = 0.45359237  # kg, exact, from the same agreement


class QuantityError(RopewrightError, ValueError):
    """A figure that can't be read. The text says what was found and what would be right."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its name as written, what it measures, and the SI value of one of it."""

    name: str
    kind: Kind
    si: float


UNITS: dict[str, Unit] = {
    unit.name: unit
    for unit in (
        Unit("m", "length", 1.0),
        Unit("cm", "length", 0.01),
        Unit("mm", "length", 0.001),
        Unit("km", "length", 1000.0),
        Unit("ft", "length", _FOOT),
        Unit("in", "length", _FOOT / 12),
        Unit("yd", "length", 3 * _FOOT),
        Unit("kg", "mass", 1.0),
        Unit("g", "mass", 0.001),
        Unit("t", "mass", 1000.0),
        Unit("lb", "mass", _POUND),
        Unit("oz", "mass", _POUND / 16),
        Unit("N", "force", 1.0),
        Unit("daN", "force", 10.0),
        Unit("kN", "force", 1000.0),
        Unit("lbf", "force", _POUND * STANDARD_GRAVITY),
        Unit("rad", "angle", 1.0),
        Unit("deg", "angle", 0.017453292519943295),
        Unit("%", "share", 0.01),
        Unit("kg/m", "mass_per_length", 1.0),
        Unit("g/m", "mass_per_length", 0.001),
        Unit("lb/ft", "mass_per_length", _POUND / _FOOT),
        Unit("lb/100ft", "mass_per_length", _POUND / _FOOT / 100),
    )
}

# Other spellings, all in lower case: a unit is first sought as written, then here.
ALIASES: dict[str, str] = {unit.name.lower(): unit.name for unit in UNITS.values()} | {
    "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "foot": "ft", "feet": "ft", "'": "ft", "inch": "in", "inches": "in", '"': "in",
    "kgs": "kg", "lbs": "lb", "pound": "lb", "pounds": "lb",
    "newton": "N", "newtons": "N", "lbsf": "lbf", "lb-f": "lbf",
    "°": "deg", "degree": "deg", "degrees": "deg", "percent": "%",
}  # fmt: skip

# Above these a figure is a slip of the pen. Forces reach high so that a rope may be made as good as rigid.
CEILING: dict[Kind, float] = {
    "length": 1e5,
    "mass": 1e5,
    "force": 1e13,
    "angle": 100.0,
    "share": 1e6,
    "mass_per_length": 1e3,
}
