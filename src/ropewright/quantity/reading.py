"""Reading a figure as people write it: `95 kg`, `30 ft`, `1,800 lbf`, `0.85..0.95`, `7..8..9.5 kN`."""

import math
import re
from typing import Literal, NoReturn

from ropewright.quantity.figure_range import Range, midpoint
from ropewright.quantity.units import (
    ALIASES,
    CEILING,
    STANDARD_GRAVITY,
    UNITS,
    Kind,
    QuantityError,
    System,
    Unit,
)

__all__ = ["Sign", "read_quantity"]

Sign = Literal["any", "zero-up", "above-zero"]

_LONGEST = 100  # characters; nothing that is a figure needs more
_NUMBER = re.compile(r"([+-]?)([0-9][0-9,]*)?(\.[0-9]*)?([eE][+-]?[0-9]+)?")
_THOUSANDS = re.compile(r"[0-9]{1,3}(,[0-9]{3})+")
_SPLIT = re.compile(r"\.\.|–")
_PARTED = re.compile(
    r"(?<![/0-9]) (?!/)|(?<=[0-9]) (?=[0-9])"
)  # a space inside a unit, but for those of `lb / 100 ft`

_BARE: dict[tuple[Kind, System], str] = {
    ("length", "metric"): "m", ("length", "us"): "ft",
    ("mass", "metric"): "kg", ("mass", "us"): "lb",
    ("force", "metric"): "kN", ("force", "us"): "lbf",
    ("angle", "metric"): "deg", ("angle", "us"): "deg",
    ("mass_per_length", "metric"): "kg/m", ("mass_per_length", "us"): "lb/ft",
}  # fmt: skip

_NOUN: dict[Kind, str] = {
    "length": "a length", "mass": "a mass", "force": "a force", "angle": "an angle",
    "share": "a plain number", "mass_per_length": "a mass per length",
}  # fmt: skip

_GIVEN_IN: dict[Kind, str] = {
    "length": "a length is given in m or ft, e.g. 9 m",
    "mass": "a mass is given in kg or lb, e.g. 95 kg",
    "force": "a force is given in kN or lbf, e.g. 0.93 kN",
    "angle": "an angle is given in deg, e.g. 15 deg",
    "share": "write it without a unit, e.g. 0.9",
    "mass_per_length": "a mass per length is given in g/m or lb/100ft, e.g. 80 g/m",
}

# What a unit that the trade uses, but that mixes mass with force, stands for.
_REFUSED_UNITS = {
    "kgf": STANDARD_GRAVITY, "kg-f": STANDARD_GRAVITY, "kp": STANDARD_GRAVITY,
    "tf": 1000 * STANDARD_GRAVITY,
}  # fmt: skip

_DEFAULT_SIGN: dict[Kind, Sign] = {
    "length": "any", "angle": "any", "mass": "zero-up", "force": "zero-up", "share": "zero-up",
    "mass_per_length": "zero-up",
}  # fmt: skip


def read_quantity(value: object, kind: Kind, system: System = "metric", *, sign: Sign | None = None) -> Range:
    """Read a figure into SI: N, m, kg, rad, kg/m, or a plain number for a share.

    value: a number, or text such as `95 kg`, `1,800 lbf`, `0.85..0.95`, `8..9 kN`, or
        `7..8..9.5 kN` (low, likely, high). A bare number takes the unit of `system`.
    kind: what is wanted. A mass for a force, or the reverse, is refused with the figure that was meant.
    system: "metric" (m, kg, kN) or "us" (ft, lb, lbf).
    sign: what numbers are sensible; left out, lengths and angles may be negative and nothing else may.
    Errors: QuantityError, in one line.
    """
    ends = _parse(value, kind, system)
    low, high = ends[0], ends[-1]
    if low > high or not low <= ends[len(ends) // 2] <= high:
        raise QuantityError(f"a range runs from low to high; found {_found(value)}")
    found = Range(low, ends[1], high) if len(ends) == 3 else Range.between(low, high)
    _check_limits(found, value, kind, sign or _DEFAULT_SIGN[kind])
    return found


def _parse(value: object, kind: Kind, system: System) -> tuple[float, ...]:
    """Return one, two or three SI numbers: a figure, a range, or a range with its likely value."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise QuantityError(f"found {_found(value)} where {_NOUN[kind]} is wanted; {_GIVEN_IN[kind]}")
    bare = UNITS[_BARE[kind, system]].si if kind != "share" else 1.0
    if not isinstance(value, str):
        return (_scaled(_finite(value, value), bare),)
    pieces = _SPLIT.split(_tidy(value, kind))
    if len(pieces) > 3:
        raise QuantityError(f"a range has two ends (low..high, or low..likely..high); found {_found(value)}")
    numbers, units = zip(*(_number_and_unit(piece, value, kind) for piece in pieces), strict=True)
    last = units[-1]
    if last is None and any(units):
        raise QuantityError(f"the unit goes after the last number of a range; found {_found(value)}")
    factors = [
        _factor(unit or last, number, value, kind, bare) for number, unit in zip(numbers, units, strict=True)
    ]
    if len(numbers) == 2 and factors[0] == factors[1]:
        # half way is taken before the unit is applied, so that 0.85..0.95 kN is likely 900 N exactly
        numbers = (numbers[0], midpoint(*numbers), numbers[1])
        factors = factors[:1] * 3
    return tuple(_scaled(number, factor) for number, factor in zip(numbers, factors, strict=True))


def _scaled(number: float, factor: float) -> float:
    """Return the SI value; 15 digits, so that 104 g/m is 0.104 kg/m and not 0.10400000000000001."""
    return number if factor == 1.0 else float(f"{number * factor:.15g}")


def _tidy(text: str, kind: Kind) -> str:
    if len(text) > _LONGEST or not text.strip():
        raise QuantityError(f"found {_found(text)} where {_NOUN[kind]} is wanted; {_GIVEN_IN[kind]}")
    if "..." in text:
        raise QuantityError(f"a range is written with two dots, e.g. 0.85..0.95; found {_found(text)}")
    return " ".join(text.replace("\N{MINUS SIGN}", "-").split())


def _number_and_unit(piece: str, whole: str, kind: Kind) -> tuple[float, str | None]:
    piece = piece.strip()
    match = _NUMBER.match(piece)
    digits = match and (match[2] or (match[3] or "").strip("."))
    if match is None or not digits:
        if piece.lower().lstrip("+-.") in {"nan", "inf", "infinity"}:
            _refuse_number(whole)
        raise QuantityError(f"found {_found(whole)} where {_NOUN[kind]} is wanted; {_GIVEN_IN[kind]}")
    if match[2] and "," in match[2] and not _THOUSANDS.fullmatch(match[2]):
        raise QuantityError(
            f"found a comma in {_found(whole)}; a comma only parts thousands (1,800), "
            f"a point starts decimals (1.5)"
        )
    number = _finite(float(match[0].replace(",", "")), whole)
    return number, _unit(piece[match.end() :].strip(), match[0], whole)


def _unit(text: str, number: str, whole: str) -> str | None:
    """Return a unit without the spaces that may stand in it; a word that is written in two is none."""
    unit = text.replace(" ", "")
    if _PARTED.search(text) and (unit in UNITS or unit.lower() in ALIASES):
        raise QuantityError(
            f"found a space inside the unit in {_found(whole)}; write it in one, as in {number} {unit}"
        )
    return unit or None


def _factor(unit: str | None, number: float, whole: str, kind: Kind, bare: float) -> float:
    """Return what to multiply by, after making sure that the unit measures what is wanted."""
    if unit is None:
        return bare
    known = UNITS.get(unit) or UNITS.get(ALIASES.get(unit.lower(), ""))
    if known is None:
        if unit.lower() in _REFUSED_UNITS:
            newtons = number * _REFUSED_UNITS[unit.lower()]
            force, mass = f"{newtons / 1000:.3g} kN", f"{newtons / STANDARD_GRAVITY:.3g} kg"
            raise QuantityError(
                f"found {_found(whole)}; {unit[:10]} mixes mass and force, so it is not read: "
                f"write {force} for the force or {mass} for the mass"
            )
        raise QuantityError(f"unknown unit in {_found(whole)}; {_GIVEN_IN[kind]}")
    if known.kind != kind:
        given = " ".join(whole.split())
        raise QuantityError(
            f"{_NOUN[known.kind]} ({given}) where {_NOUN[kind]} is wanted; {_meant(known, number, kind)}"
        )
    return known.si


def _meant(unit: Unit, number: float, kind: Kind) -> str:
    """Say how to write what was wanted; for weight and mass with the very figure."""
    if unit.kind == "mass" and kind == "force":
        kilograms = number * unit.si
        us = unit.name in {"lb", "oz"}
        right = (
            f"{kilograms / UNITS['lb'].si:.3g} lbf" if us else f"{kilograms * STANDARD_GRAVITY / 1000:.2g} kN"
        )
        return f"a force is given in kN or lbf, e.g. {right}"
    if unit.kind == "force" and kind == "mass":
        kilograms = number * unit.si / STANDARD_GRAVITY
        right = f"{kilograms / UNITS['lb'].si:.3g} lb" if unit.name == "lbf" else f"{kilograms:.2g} kg"
        return f"a mass is given in kg or lb, e.g. {right}"
    return _GIVEN_IN[kind]


def _finite(number: float, whole: object) -> float:
    try:
        as_float = float(number)
    except OverflowError:
        _refuse_number(whole)
    if not math.isfinite(as_float):
        _refuse_number(whole)
    return as_float


def _refuse_number(whole: object) -> NoReturn:
    raise QuantityError(
        f"found {_found(whole)}, which is no number that can be reckoned with; write a plain one"
    )


def _check_limits(found: Range, value: object, kind: Kind, sign: Sign) -> None:
    noun = _NOUN[kind]
    if sign != "any" and found.low < 0:
        raise QuantityError(f"found {_found(value)}; {noun} can't be negative here")
    if sign == "above-zero" and found.low == 0:
        raise QuantityError(f"found {_found(value)}; {noun} has to be more than zero here")
    if max(abs(found.low), abs(found.high)) > CEILING[kind]:
        raise QuantityError(f"found {_found(value)}, which is more than {noun} can be here; check the unit")


def _found(value: object) -> str:
    """Quote what was found, cut to one short line."""
    if isinstance(value, str):
        text = " ".join(value.split())
        return f"'{text[:40]}…'" if len(text) > 40 else f"'{text}'"
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value) if abs(value) < 10**15 else "a whole number of more than 15 digits"
    if isinstance(value, float):
        return f"{value:g}"
    return (
        "a list"
        if isinstance(value, list | tuple)
        else "a mapping"
        if isinstance(value, dict)
        else "no figure"
    )
