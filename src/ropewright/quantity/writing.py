"""Writing a figure so that it reads back as the very same numbers."""

from ropewright.quantity.figure_range import Range
from ropewright.quantity.reading import read_quantity
from ropewright.quantity.units import UNITS, Kind, System

__all__ = ["write_quantity"]

# Tried in order: the first unit whose text reads back exactly is taken; the last of each always does.
_TRIED: dict[tuple[Kind, System], tuple[str, ...]] = {
    ("length", "metric"): ("m",), ("length", "us"): ("ft", "m"),
    ("mass", "metric"): ("kg",), ("mass", "us"): ("lb", "kg"),
    ("force", "metric"): ("kN", "N"), ("force", "us"): ("lbf", "kN", "N"),
    ("angle", "metric"): ("deg", "rad"), ("angle", "us"): ("deg", "rad"),
    ("mass_per_length", "metric"): ("kg/m",), ("mass_per_length", "us"): ("kg/m",),
}  # fmt: skip


def write_quantity(figure: Range, kind: Kind, system: System = "metric") -> str:
    """Return text for an SI figure that `read_quantity` turns into the same figure, bit for bit.

    Round figures come out in the units of `system`; others fall back to the SI unit with all their digits.
    """
    if kind == "share":
        return _text(figure, 1.0, digits=None)
    for name in _TRIED[kind, system]:
        for digits in (6, None):
            text = f"{_text(figure, UNITS[name].si, digits)} {name}"
            if read_quantity(text, kind, system, sign="any") == figure:
                return text
    return f"{_text(figure, 1.0, digits=None, whole=True)} {_TRIED[kind, system][-1]}"


def _text(figure: Range, si: float, digits: int | None, whole: bool = False) -> str:
    low, likely, high = (_number(value / si, digits) for value in (figure.low, figure.likely, figure.high))
    if figure.is_single:
        return low
    if not whole and figure == Range.between(figure.low, figure.high):
        return f"{low}..{high}"
    return f"{low}..{likely}..{high}"


def _number(value: float, digits: int | None) -> str:
    return (repr(value) if digits is None else f"{value:.{digits}g}").removesuffix(".0")
