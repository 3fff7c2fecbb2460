"""Quantities: read at the edge in the units that people write, SI floats inside, shown in both systems."""

from ropewright.quantity.figure_range import Range
from ropewright.quantity.reading import Sign, read_quantity
from ropewright.quantity.showing import (
    Units,
    first_system,
    in_units,
    show,
    show_angle,
    show_force,
    show_length,
    show_mass,
    show_range,
)
from ropewright.quantity.units import STANDARD_GRAVITY, Kind, QuantityError, System
from ropewright.quantity.writing import write_quantity

__all__ = [
    "STANDARD_GRAVITY",
    "Kind",
    "QuantityError",
    "Range",
    "Sign",
    "System",
    "Units",
    "first_system",
    "in_units",
    "read_quantity",
    "show",
    "show_angle",
    "show_force",
    "show_length",
    "show_mass",
    "show_range",
    "write_quantity",
]
