"""What people write for a figure, and what is made of it."""

import math

import pytest

from ropewright.errors import RopewrightError
from ropewright.quantity import Kind, QuantityError, Range, System, read_quantity

EXACT = 1e-12  # relative: unit factors are exact, so only rounding in the last bits is allowed


@pytest.mark.parametrize(
    ("written", "kind", "system", "si"),
    [
        ("95 kg", "mass", "metric", 95.0),
        ("210 lb", "mass", "metric", 95.2543977),
        ("210", "mass", "us", 95.2543977),
        (95, "mass", "metric", 95.0),
        ("30 ft", "length", "metric", 9.144),
        ("30ft", "length", "metric", 9.144),
        (30, "length", "us", 9.144),
        ("9m", "length", "us", 9.0),
        ("-2", "length", "metric", -2.0),
        ("12 in", "length", "metric", 0.3048),
        ("50 mm", "length", "metric", 0.05),
        ("8 kN", "force", "metric", 8000.0),
        (8, "force", "metric", 8000.0),
        ("8 KN", "force", "us", 8000.0),
        ("250 N", "force", "metric", 250.0),
        ("1800 lbf", "force", "metric", 8006.798907468899),
        ("1,800 lbf", "force", "metric", 8006.798907468899),
        (1800, "force", "us", 8006.798907468899),
        ("15 deg", "angle", "metric", math.radians(15)),
        ("15°", "angle", "us", math.radians(15)),
        (180, "angle", "metric", math.pi),
        ("0.9", "share", "metric", 0.9),
        (".9", "share", "us", 0.9),
        ("85 %", "share", "metric", 0.85),
        ("85 g/m", "mass_per_length", "metric", 0.085),
        ("7 lb/100 ft", "mass_per_length", "us", 0.104171477),
        (0, "mass", "metric", 0.0),
    ],
)
def test_one_figure_is_read_into_si(written: str | float, kind: Kind, system: System, si: float) -> None:
    found = read_quantity(written, kind, system)
    assert found.is_single
    assert found.likely == pytest.approx(si, rel=1e-8 if kind == "mass_per_length" else EXACT)


@pytest.mark.parametrize(
    ("written", "kind", "si"),
    [
        ("0.85..0.95", "share", (0.85, 0.9, 0.95)),
        ("0.85 .. 0.95", "share", (0.85, 0.9, 0.95)),
        ("0.85–0.95", "share", (0.85, 0.9, 0.95)),
        ("8..9 kN", "force", (8000.0, 8500.0, 9000.0)),
        ("8 kN..9 kN", "force", (8000.0, 8500.0, 9000.0)),
        ("800 N..1 kN", "force", (800.0, 900.0, 1000.0)),
        ("7..8..9.5 kN", "force", (7000.0, 8000.0, 9500.0)),
        ("-2..-1", "length", (-2.0, -1.5, -1.0)),
        ("90..100", "mass", (90.0, 95.0, 100.0)),
    ],
)
def test_a_range_is_read_with_its_likely_value(
    written: str, kind: Kind, si: tuple[float, float, float]
) -> None:
    assert read_quantity(written, kind) == Range(*si)


@pytest.mark.parametrize(
    ("written", "kind", "message"),
    [
        (
            "95 kg",
            "force",
            "a mass (95 kg) where a force is wanted; a force is given in kN or lbf, e.g. 0.93 kN",
        ),
        (
            "210 lb",
            "force",
            "a mass (210 lb) where a force is wanted; a force is given in kN or lbf, e.g. 210 lbf",
        ),
        (
            "0.93 kN",
            "mass",
            "a force (0.93 kN) where a mass is wanted; a mass is given in kg or lb, e.g. 95 kg",
        ),
        (
            "200 lbf",
            "mass",
            "a force (200 lbf) where a mass is wanted; a mass is given in kg or lb, e.g. 200 lb",
        ),
        (
            "95 kgf",
            "force",
            "found '95 kgf'; kgf mixes mass and force, so it is not read: "
            "write 0.932 kN for the force or 95 kg for the mass",
        ),
        ("9 m", "share", "a length (9 m) where a plain number is wanted; write it without a unit, e.g. 0.9"),
        ("5 furlongs", "length", "unknown unit in '5 furlongs'; a length is given in m or ft, e.g. 9 m"),
        (
            "95 k g",
            "mass",
            "found a space inside the unit in '95 k g'; write it in one, as in 95 kg",
        ),
        (
            "8..9 k N",
            "force",
            "found a space inside the unit in '8..9 k N'; write it in one, as in 9 kN",
        ),
        (
            "4 lb/1 00ft",
            "mass_per_length",
            "found a space inside the unit in '4 lb/1 00ft'; write it in one, as in 4 lb/100ft",
        ),
        ("-3", "mass", "found '-3'; a mass can't be negative here"),
        (-3, "force", "found -3; a force can't be negative here"),
        ("9..8 kN", "force", "a range runs from low to high; found '9..8 kN'"),
        ("7..6..9 kN", "force", "a range runs from low to high; found '7..6..9 kN'"),
        ("1..2..3..4", "share", "a range has two ends (low..high, or low..likely..high); found '1..2..3..4'"),
        ("1...2", "share", "a range is written with two dots, e.g. 0.85..0.95; found '1...2'"),
        ("3 kN..4", "force", "the unit goes after the last number of a range; found '3 kN..4'"),
        (
            "1,5 kN",
            "force",
            "found a comma in '1,5 kN'; a comma only parts thousands (1,800), a point starts decimals (1.5)",
        ),
        ("a lot", "mass", "found 'a lot' where a mass is wanted; a mass is given in kg or lb, e.g. 95 kg"),
        ("", "mass", "found '' where a mass is wanted; a mass is given in kg or lb, e.g. 95 kg"),
        (True, "mass", "found true where a mass is wanted; a mass is given in kg or lb, e.g. 95 kg"),
        (None, "length", "found nothing where a length is wanted; a length is given in m or ft, e.g. 9 m"),
        ([1, 2], "length", "found a list where a length is wanted; a length is given in m or ft, e.g. 9 m"),
        ({}, "length", "found a mapping where a length is wanted; a length is given in m or ft, e.g. 9 m"),
        ("700000 kg", "mass", "found '700000 kg', which is more than a mass can be here; check the unit"),
    ],
)
def test_the_error_says_what_was_found_and_what_would_be_right(
    written: object, kind: Kind, message: str
) -> None:
    with pytest.raises(QuantityError) as error:
        read_quantity(written, kind)
    assert str(error.value) == message


@pytest.mark.parametrize(
    "written", ["1e400", "nan", "NaN", "-inf", "infinity", math.inf, math.nan, 10**400, "0..1e400"]
)
def test_what_is_no_number_is_refused(written: str | float) -> None:
    with pytest.raises(QuantityError, match="no number that can be reckoned with"):
        read_quantity(written, "share")


@pytest.mark.parametrize(
    "written", ["x" * 10_000, "1" * 10_000, "9 kg\n\n<script>" + "y" * 60, "\x00", "٣ m"]
)
def test_hostile_text_gets_one_short_line(written: str) -> None:
    with pytest.raises(QuantityError) as error:
        read_quantity(written, "length")
    assert "\n" not in str(error.value)
    assert len(str(error.value)) < 250


def test_zero_is_refused_where_more_is_needed() -> None:
    with pytest.raises(QuantityError, match="a mass has to be more than zero here"):
        read_quantity(0, "mass", sign="above-zero")


def test_the_error_is_a_ropewright_error_and_a_value_error() -> None:
    assert issubclass(QuantityError, RopewrightError)
    assert issubclass(QuantityError, ValueError)


@pytest.mark.parametrize(
    "ends", [(2.0, 1.0, 3.0), (1.0, 4.0, 3.0), (math.nan, 1.0, 2.0), (0.0, 1.0, math.inf)]
)
def test_a_range_can_not_be_made_disordered(ends: tuple[float, float, float]) -> None:
    with pytest.raises(QuantityError):
        Range(*ends)


@pytest.mark.parametrize("written", ["4 lb/100ft", "4 lb/100 ft", "4 lb / 100 ft", "4lb/100ft"])
def test_spaces_beside_the_stroke_of_a_unit_are_read(written: str) -> None:
    assert read_quantity(written, "mass_per_length") == read_quantity("4 lb/100ft", "mass_per_length")
