from __future__ import annotations

import pytest

from ropewright.allotting import Limit, Unit, over_limits, worst_ratio


def limit(copy: int, most: float | None, part: str = "harness of student", others: float = 0.0) -> Limit:
    return Limit(Unit(0, copy), "student", part, part.split(" ")[0], most, others)


def test_who_is_within_every_limit_is_not_named() -> None:
    assert over_limits([("Ana", 140.0)], [limit(1, 140.0), limit(1, 150.0, "descender")]) == ()


def test_what_hangs_besides_counts() -> None:
    (over,) = over_limits([("Ana", 95.0)], [limit(1, 200.0, "device", others=110.0)])
    assert (over.name, over.known, over.limits[0].part) == ("Ana", True, "device")


def test_the_copies_that_would_do_are_told() -> None:
    (over,) = over_limits([("Ana", 146.0)], [limit(1, 140.0), limit(2, 160.0)])
    assert (over.may, over.limits) == ((Unit(0, 2),), (limit(1, 140.0),))


def test_a_limit_that_nobody_stated_never_passes() -> None:
    (over,) = over_limits([("Ana", 60.0)], [limit(1, None)])
    assert (over.known, over.may) == (False, ())


def test_people_of_the_same_name_are_told_apart_by_their_masses() -> None:
    assert [o.mass for o in over_limits([("Ana", 60.0), ("Ana", 150.0)], [limit(1, 140.0)])] == [150.0]


@pytest.mark.parametrize(
    ("students", "instructors", "groups", "worst", "within"),
    [
        (24, 4, 4, (6, 1), True),
        (24, 4, 3, (8, 1), False),
        (24, 4, 0, (24, 4), True),
        (7, 3, 2, (3, 1), True),
        (6, 1, 2, (3, 0), False),
        (0, 0, 3, (0, 0), True),
    ],
)
def test_the_worst_group_is_held_against_one_to_six(
    students: int, instructors: int, groups: int, worst: tuple[int, int], within: bool
) -> None:
    found = worst_ratio(students, instructors, groups)
    assert ((found.students, found.instructors), found.within(6)) == (worst, within)
