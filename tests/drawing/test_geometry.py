"""Plane geometry: tangents against the distance from the centre, crossings and hits against sampling."""

from __future__ import annotations

import cmath
import math
import random

import numpy as np
import pytest

from ropewright.drawing.geometry import Box, crossings, hits, swept, tangent


def distance(p: complex, a: complex, b: complex) -> float:
    """From a point to a whole line."""
    way = (b - a) / abs(b - a)
    return ((p - a) * way.conjugate()).imag


@pytest.mark.parametrize("seed", range(40))
def test_a_tangent_touches_both_circles_on_the_sides_asked_for(seed: int) -> None:
    rng = random.Random(seed)
    c, d = complex(rng.uniform(-50, 50), rng.uniform(-50, 50)), complex(rng.uniform(100, 300), 0)
    r, q = rng.choice((0.0, 7.0, 10.0)), rng.choice((0.0, 7.0, 12.0))
    s, t = rng.choice((-1, 1)), rng.choice((-1, 1))
    a, b = tangent(c, r, s, d, q, t)
    assert distance(c, a, b) == pytest.approx(s * r, abs=1e-9)
    assert distance(d, a, b) == pytest.approx(t * q, abs=1e-9)
    assert abs(a - c) == pytest.approx(r, abs=1e-9)
    assert abs(b - d) == pytest.approx(q, abs=1e-9)


def test_circles_too_near_for_a_tangent_are_joined_at_their_centres() -> None:
    assert tangent(0j, 10, 1, 5 + 0j, 10, -1) == (0j, 5 + 0j)


@pytest.mark.parametrize(
    ("turn", "sense", "angle"), [(90, 1, 90), (90, -1, 270), (-30, -1, 30), (180, 1, 180)]
)
def test_a_rope_turns_through_the_angle_of_its_sense(turn: float, sense: int, angle: float) -> None:
    going = cmath.exp(1j * math.radians(turn))
    assert math.degrees(swept(1 + 0j, going, sense)) == pytest.approx(angle)


def test_only_insides_cross() -> None:
    starts, ends = np.array([0j, 5 - 5j, 10j]), np.array([10 + 0j, 5 + 5j, 10 + 10j])
    assert crossings(starts, ends) == 1
    assert crossings(np.array([0j, 10 + 0j]), np.array([10 + 0j, 10 + 10j])) == 0


@pytest.mark.parametrize("seed", range(30))
def test_a_hit_is_what_sampling_finds(seed: int) -> None:
    rng = random.Random(seed)
    box = Box(10, 10, 40, 25)
    x, y, p, q = (rng.uniform(0, 50) for _ in range(4))
    found = bool(hits(np.array([[10.0, 10.0, 40.0, 25.0]]), np.array([[x, y, p, q, 0.0]]))[0, 0])
    sampled = any(
        box.left < x + (p - x) * k / 2000 < box.right and box.top < y + (q - y) * k / 2000 < box.bottom
        for k in range(2001)
    )
    assert found == sampled
