"""Honest digits, in either system or both."""

import math

import pytest

from ropewright.quantity import (
    Kind,
    Range,
    Units,
    first_system,
    show,
    show_angle,
    show_force,
    show_length,
    show_mass,
    show_range,
)


@pytest.mark.parametrize(
    ("force", "text"),
    [
        (932.4, "0.93 kN (210 lbf)"),
        (950.0, "0.95 kN (214 lbf)"),
        (8140.0, "8.14 kN (1830 lbf)"),
        (9999.0, "10.0 kN (2250 lbf)"),
        (36_000.0, "36.0 kN (8090 lbf)"),
        (320_000.0, "320 kN (71900 lbf)"),
        (46.0, "0.046 kN (10 lbf)"),
        (0.0, "0 kN (0 lbf)"),
        (-1e-9, "0 kN (0 lbf)"),
        (-932.4, "-0.93 kN (-210 lbf)"),
        (math.inf, "no figure"),
        (math.nan, "no figure"),
    ],
)
def test_force(force: float, text: str) -> None:
    assert show_force(force) == text


@pytest.mark.parametrize(
    ("units", "text"), [("metric", "0.93 kN"), ("us", "210 lbf"), ("both", "0.93 kN (210 lbf)")]
)
def test_the_systems_asked_for(units: Units, text: str) -> None:
    assert show_force(932.4, units) == text


def test_other_kinds() -> None:
    assert show_mass(95) == "95 kg (209 lb)"
    assert show_mass(0.25) == "0.25 kg (0.55 lb)"
    assert show_length(9) == "9 m (29.5 ft)"
    assert show_length(0.31) == "0.31 m (1 ft)"
    assert show_length(0.0125) == "12.5 mm (0.49 in)"
    assert show_length(0) == "0 m (0 ft)"
    assert show_angle(math.radians(112)) == "112°"
    assert show(0.85, "share") == "0.85"
    assert show(0.104, "mass_per_length") == "104 g/m (7 lb/100 ft)"


@pytest.mark.parametrize(
    ("ends", "kind", "text"),
    [
        ((850, 950), "force", "0.85–0.95 kN (191–214 lbf)"),
        ((7000, 9500), "force", "7.00–9.50 kN (1570–2140 lbf)"),
        ((932.1, 932.4), "force", "0.93 kN (210 lbf)"),
        ((-100, 200), "force", "-0.10 to 0.20 kN (-22 to 45 lbf)"),
        ((0.75, 0.95), "share", "0.75–0.95"),
        ((90, 100), "mass", "90–100 kg (198–220 lb)"),
    ],
)
def test_range(ends: tuple[float, float], kind: Kind, text: str) -> None:
    assert show_range(Range.between(*ends), kind) == text


@pytest.mark.parametrize(
    "force", [10**power * lead for power in range(-3, 8) for lead in (1.0, 2.34567, 9.87654)]
)
def test_no_force_has_more_than_three_significant_digits(force: float) -> None:
    for number in show_force(force).replace("(", "").split()[::2]:
        assert len(number.replace(".", "").strip("0")) <= 3


def test_range_with_its_likely_value() -> None:
    assert show_range(Range(850, 900, 950), "force", likely=True) == (
        "0.85–0.95 kN, likely 0.90 (191–214 lbf, likely 202)"
    )
    assert show_range(Range.exactly(950), "force", likely=True) == "0.95 kN (214 lbf)"


def test_us_units_can_come_first_with_metric_behind_them() -> None:
    assert show_force(412.0, "both-us") == "93 lbf (0.41 kN)"
    assert show_mass(95, "both-us") == "209 lb (95 kg)"
    assert show_length(0.0125, "both-us") == "0.49 in (12.5 mm)"
    assert show_range(Range.between(850, 950), "force", "both-us") == "191–214 lbf (0.85–0.95 kN)"


def test_what_has_one_unit_is_printed_once_whichever_system_comes_first() -> None:
    assert show(0.85, "share", "both-us") == "0.85"


@pytest.mark.parametrize(
    ("units", "first"), [("metric", "metric"), ("both", "metric"), ("us", "us"), ("both-us", "us")]
)
def test_the_system_that_comes_first(units: Units, first: str) -> None:
    assert first_system(units) == first
