"""The needs of one rig at several masses as one."""

from __future__ import annotations

from ropewright.allotting import Need, Unit, Worn, worst_needs, worst_worn


def need(*parts: str, **known: float) -> Need:
    return Need(Unit(0), "rope", len(parts), parts, **known)  # type: ignore[arg-type]


def test_each_piece_has_to_bear_the_most_that_is_asked_of_it() -> None:
    light = (need("upper", "lower", strength=4.0, user_mass=60.0),)
    heavy = (need("upper", strength=9.0, user_mass=110.0), need("lower", strength=3.0, user_mass=110.0))
    found = {part: one for one in worst_needs([light, heavy]) for part in one.parts}
    assert (found["upper"].strength, found["lower"].strength) == (9.0, 4.0)
    assert {one.user_mass for one in found.values()} == {110.0}


def test_pieces_that_are_alike_stay_together() -> None:
    (one,) = worst_needs([(need("upper", "lower", strength=4.0),)] * 2)
    assert (one.count, one.parts) == (2, ("upper", "lower"))


def test_pieces_without_names_are_counted_once_each() -> None:
    plain = Need(Unit(0), "manikin", 3)
    assert sum(one.count for one in worst_needs([(plain,), (plain,)])) == 3


def test_what_one_mass_alone_asks_for_is_asked() -> None:
    assert len(worst_needs([(need("upper"),), (need("upper"), need("pad"))])) == 1
    assert sum(one.count for one in worst_needs([(need("upper"),), (need("upper"), need("pad"))])) == 2


def test_a_type_figure_that_one_of_them_does_not_know_is_not_known() -> None:
    (one,) = worst_needs([(need("upper", type_strength=9.0),), (need("upper"),)])
    assert one.type_strength is None


def test_the_least_rating_and_the_most_beside_it_limit_people() -> None:
    found = worst_worn([[Worn("a", "rope", "rope", 140.0, 60.0)], [Worn("a", "rope", "rope", 130.0, 110.0)]])
    assert found == (Worn("a", "rope", "rope", 130.0, 110.0),)
