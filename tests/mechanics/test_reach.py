"""Who is held by connection alone: ropes that cannot give way, and those that rope can be fed into."""

import pytest

from ropewright.mechanics import held, touched
from ropewright.mechanics.model import Contact

from .builders import Rig, self_haul, three_to_one


def is_held(*run: tuple[str, str], hands: bool = True, opened: bool = False) -> bool:
    """Whether a load is held by one rope; each contact is where it is and what it does there."""
    r = Rig()
    nodes = {
        "beam": r.point("beam", 0, 9, fixed=True),
        "post": r.point("post", 1, 9, fixed=True),
        "load": r.point("load", 0, 0, mass=100),
    }
    kinds = {
        "tie": lambda n: Contact(n, "both"),
        "bites": lambda n: Contact(n, "backward", opens=True),
        "reversed": lambda n: Contact(n, "forward", opens=True),
        "through": lambda n: Contact(n),
        "hand": lambda n: Contact(n, end="hand"),
        "tail": lambda n: Contact(n, end="tail"),
    }
    r.rope(*(kinds[verb](nodes[place]) for verb, place in run))
    return bool(held(r.build("load"), hands, opened)[nodes["load"]])


@pytest.mark.parametrize(
    ("run", "answer"),
    [
        ((("tie", "beam"), ("tie", "load")), True),
        ((("tail", "beam"), ("tie", "load")), False),
        ((("tie", "beam"), ("bites", "load"), ("tail", "load")), True),
        ((("tie", "beam"), ("reversed", "load"), ("tail", "load")), False),
        ((("tie", "beam"), ("through", "load"), ("tail", "load")), False),
        ((("tie", "load"), ("bites", "beam"), ("tail", "beam")), True),
        ((("tie", "load"), ("reversed", "beam"), ("tail", "beam")), False),
        # fed from the free end past a gate that lets rope through, and stopped by the next that does not
        ((("tail", "post"), ("bites", "post"), ("bites", "beam"), ("tie", "load")), False),
        ((("tail", "post"), ("bites", "post"), ("reversed", "beam"), ("tie", "load")), True),
        ((("tie", "load"), ("reversed", "beam"), ("reversed", "post"), ("tail", "post")), False),
        ((("tie", "load"), ("bites", "beam"), ("reversed", "post"), ("tail", "post")), True),
        # a grip at the very end of a rope holds the way it bites
        ((("tie", "beam"), ("bites", "load")), True),
        ((("tie", "beam"), ("reversed", "load")), False),
        ((("reversed", "load"), ("tie", "beam")), True),
        ((("bites", "load"), ("tie", "beam")), False),
    ],
)
def test_a_load_is_held_where_no_rope_can_be_fed_in(run: tuple[tuple[str, str], ...], answer: bool) -> None:
    assert is_held(*run) is answer


def test_a_hand_holds_until_it_lets_go_and_an_opened_device_until_it_closes() -> None:
    run = (("tie", "load"), ("through", "beam"), ("hand", "post"))
    assert is_held(*run)
    assert not is_held(*run, hands=False)
    device = (("tie", "load"), ("bites", "beam"), ("hand", "post"))
    assert is_held(*device, hands=False)
    assert not is_held(*device, hands=False, opened=True)


def test_a_load_tied_to_another_shares_its_fate() -> None:
    r = Rig()
    beam = r.point("beam", 0, 9, fixed=True)
    one, two = r.point("one", 0, 4, mass=80), r.point("two", 0, 2, mass=80)
    r.rope(r.tie(one), r.tie(two))
    assert held(r.build()).tolist() == [True, False, False]
    r.rope(r.tie(beam), r.tie(two))
    assert held(r.build()).tolist() == [True, True, True]


def test_the_textbook_rigs_keep_what_they_have_won() -> None:
    for system in (three_to_one(), self_haul()):
        assert held(system).all()
        assert held(system, hands=False)[system.load]
        assert not held(system, hands=False, opened=True)[system.load]


def test_nothing_fixed_holds_nothing() -> None:
    r = Rig()
    one, two = r.point("one", 0, 4, mass=80), r.point("two", 0, 2, mass=80)
    alone = r.point("alone", 3, 3)
    r.rope(r.tie(one), r.tie(two))
    assert not held(r.build()).any()
    assert touched(r.build(), one)
    assert not touched(r.build(), alone)
