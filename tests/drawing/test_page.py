"""The page: scale, breaks that bend nothing, room between what is crowded, plumb stays plumb."""

from __future__ import annotations

import math

import pytest

from ropewright.drawing.page import Link, Reach, paged

SMALL = Reach(20, 20, 20, 20)


def lay(
    points: list[complex], links: list[tuple[int, int]], named: bool = False
) -> tuple[tuple[complex, ...], int]:
    page = paged(points, [Link(a, b, named) for a, b in links], [SMALL] * len(points), [0.0] * len(points))
    return page.centres, len(page.breaks)


def angle(a: complex, b: complex) -> float:
    return math.degrees(math.atan2((b / a).imag, (b / a).real))


def test_what_fits_is_drawn_to_one_scale_without_a_break() -> None:
    centres, breaks = lay([0j, 5j, 4 + 8j], [(0, 1), (1, 2)])
    assert breaks == 0
    unit = abs(centres[1] - centres[0]) / 5
    assert abs(centres[2] - centres[1]) / unit == pytest.approx(5)


def test_forty_metres_of_rope_still_show_a_metre_of_reeving() -> None:
    centres, breaks = lay([0j, 40j, 41j], [(0, 1), (1, 2)])
    assert breaks == 1
    assert abs(centres[2] - centres[1]) > 90
    assert abs(centres[1] - centres[0]) < 450


def test_a_break_takes_from_slanted_strands_along_their_way() -> None:
    points = [0j, 30 + 6j, 60 + 0j, 30 + 7.5j]
    centres, breaks = lay(points, [(0, 1), (1, 2), (1, 3)], named=True)
    assert breaks == 2
    drawn = angle(centres[0] - centres[1], centres[2] - centres[1])
    assert drawn == pytest.approx(angle(points[0] - points[1], points[2] - points[1]), abs=1)


def test_no_break_where_it_would_bend_a_strand() -> None:
    points = [0j, 12 + 40j, -12 + 40j, 40.5j]
    centres, _ = lay(points, [(0, 1), (0, 2), (0, 3)], named=True)
    for k in (1, 2):
        assert abs(angle(points[k] - points[0], centres[k] - centres[0])) < 4.5


def test_crowded_things_are_moved_apart_and_plumb_stays_plumb() -> None:
    centres, _ = lay([0j, 0.05 + 0j, 10j], [(0, 2)])
    assert centres[1].real - centres[0].real >= 40
    assert centres[2].real == pytest.approx(centres[0].real, abs=1e-6)


def test_things_at_one_point_are_told_apart() -> None:
    centres, _ = lay([0j, 0j, 0j, 8j], [(0, 3), (1, 3), (2, 3)])
    for k in range(3):
        for n in range(k):
            assert abs(centres[k] - centres[n]) >= 40


def test_nothing_at_all_is_a_page_too() -> None:
    assert lay([], [])[0] == ()
