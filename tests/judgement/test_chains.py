"""The chains that hold a load, and what they share."""

import pytest

from ropewright.judgement.chains import Holding, holding
from ropewright.judgement.components import components
from ropewright.rig import Rig

from .small import CATALOGUE, TWO_LINES, descent, part, rig

TWICE_CLIPPED = """
rig: Two grabs on one rope
points:
  beam:  {kind: anchor, at: [0, 9], strength: 36 kN}
  lip:   {kind: edge, at: [1, 5], surface: concrete}
  floor: {kind: ground, at: [0, 0]}
loads:
  person: {kind: person, mass: 90, at: [0, 1], wears: harness}
gear:
  far:  {is: running-back-up, at: person}
  near: {is: running-back-up, at: person}
ropes:
  main: {is: rope-12.5-low-stretch, run: [tie beam with bowline, grip far, over lip, grip near, tail]}
"""


def chains(one: Rig, load: str = "person") -> Holding:
    return holding(one, CATALOGUE, load, components(one, CATALOGUE))


def kinds(found: Holding) -> set[tuple[str, str]]:
    return {(c.kind, c.part) for chain in found.chains for c in chain.components}


def test_two_ropes_on_two_anchors_are_two_chains() -> None:
    found = chains(rig(TWO_LINES))
    assert [c.ropes for c in found.independent] == [("main",), ("second",)]
    assert found.hands_off == 2
    assert found.shared == ()
    labels = [c.label for c in found.chains[0].components]
    assert labels == [
        "main-ring",
        "rope main",
        "bowline of main at main-ring",
        "figure-eight-bight of main at person",
    ]


def test_one_anchor_for_both_is_shared() -> None:
    found = chains(rig(TWO_LINES.replace("tie second-ring", "tie main-ring")))
    assert len(found.chains) == 2
    assert len(found.independent) == 1
    assert found.shared == ("main-ring",)


def test_a_chain_of_two_ropes_counts_once() -> None:
    text = TWO_LINES.replace("tie main-ring with bowline, tie person", "tie master with bowline, tie person")
    text = text.replace(
        "ropes:",
        "gear:\n  master: {is: plate, at: [0, 10]}\nropes:\n"
        "  leg: {is: rope-12.5-low-stretch, run: [tie main-ring with bowline, tie master with bowline]}",
    )
    found = chains(rig(text))
    assert {c.ropes for c in found.chains} == {("second",), ("leg", "main")}
    assert len(found.independent) == 2


@pytest.mark.parametrize(
    ("device", "state", "hands_off", "count"),
    [
        ("descender-self-braking", "in-hand", True, 1),
        ("descender-self-braking", "locked-off", True, 1),
        ("bar-rack", "in-hand", False, 1),
        ("bar-rack", "locked-off", True, 1),
    ],
)
def test_a_chain_is_in_hand_where_only_a_hand_keeps_it(
    device: str, state: str, hands_off: bool, count: int
) -> None:
    found = chains(descent(device, state))
    assert len(found.chains) == count
    assert found.chains[0].hands_off is hands_off
    assert any(c.kind == "hand" for c in found.chains[0].components) is not hands_off
    assert found.hands_off == int(hands_off)


def test_a_device_the_wrong_way_round_is_in_no_hands_off_chain() -> None:
    found = chains(descent("descender-self-braking", "running", "hand person", "reversed"))
    assert [c.hands_off for c in found.chains] == [False]
    assert chains(descent("descender-self-braking", "running", "tail", "reversed")).chains == ()


def test_only_what_cannot_be_spared_is_in_a_chain() -> None:
    text = TWO_LINES.replace(
        "run: [tie main-ring with bowline, tie person",
        "run: [tie main-ring with bowline, through idle, tie person",
    )
    text = text.replace("ropes:", "gear:\n  idle: {is: pulley-single, at: [0, 10]}\nropes:")
    found = chains(rig(text))
    assert ("gear", "idle") not in kinds(found)
    assert ("rope", "main") in kinds(found)


def test_nobody_is_listed_as_held_by_a_rope_with_a_loose_end() -> None:
    found = chains(
        rig(
            TWO_LINES.replace(
                "tie main-ring with bowline, tie person with figure-eight-bight]", "tie person, tail]"
            )
        )
    )
    assert [c.ropes for c in found.chains] == [("second",)]


def test_what_does_not_count_stands_in_no_chain() -> None:
    one = rig(TWO_LINES)
    parts = components(one, CATALOGUE)
    for kind, name in (("rope", "main"), ("anchor", "main-ring")):
        left = holding(one, CATALOGUE, "person", parts, [part(one, kind, name)])
        assert [c.ropes for c in left.chains] == [("second",)]
        assert left.independent == left.chains
    both = [part(one, "rope", "main"), part(one, "rope", "second")]
    assert holding(one, CATALOGUE, "person", parts, iter(both)) == Holding("person", (), (), ())


def test_a_chain_keeps_to_what_does_count() -> None:
    one = rig(TWICE_CLIPPED)
    parts = components(one, CATALOGUE)
    assert {("gear", "near"), ("gear", "far")} & kinds(holding(one, CATALOGUE, "person", parts)) != set()
    for lost, other in (("near", "far"), ("far", "near")):
        left = holding(one, CATALOGUE, "person", parts, [part(one, "gear", lost)])
        assert len(left.chains) == 1
        assert ("gear", other) in kinds(left)
        assert ("gear", lost) not in kinds(left)
        assert ("join", lost) not in kinds(left)
    none = [part(one, "gear", "near"), part(one, "join", "far")]
    assert holding(one, CATALOGUE, "person", parts, none).chains == ()


BELAYED = """
rig: A litter on two lines, each let out by a hand
points:
  one: {kind: anchor, at: [0, 9], strength: 36 kN}
  two: {kind: anchor, at: [1, 9], strength: 36 kN}
loads:
  litter: {kind: litter, mass: 90, at: [0, 1], wears: litter-basket}
crews:
  left: {at: [4, 9], people: 1}
  right: {at: [5, 9], people: 1}
gear:
  first:  {is: lower-raise-device, at: one, state: in-hand}
  second: {is: lower-raise-device, at: two, state: in-hand}
ropes:
  main: {is: rope-12.5-low-stretch, run: [tie litter with bowline, through first, hand left]}
  back: {is: rope-12.5-low-stretch, run: [tie litter with bowline, through second, hand right]}
"""


def test_a_hand_counts_with_the_device_that_helps_it() -> None:
    found = chains(rig(BELAYED), "litter")
    assert [c.ropes for c in found.independent] == [("main",), ("back",)]
    assert {("gear", "first"), ("anchor", "one"), ("gear", "second"), ("anchor", "two")} <= kinds(found)


def test_a_bare_hand_is_no_chain() -> None:
    """Two devices on one anchor: without it nobody holds a person by the hand alone."""
    found = chains(rig(BELAYED.replace("at: two, state", "at: one, state")), "litter")
    assert len(found.independent) == 1
    assert "one" in found.shared
    assert len(chains(rig(BELAYED.replace("through second, ", "")), "litter").independent) == 1


def test_a_sheave_that_rides_on_the_hands_own_rope_helps_nobody() -> None:
    text = BELAYED.replace("through second, hand", "grip grab, through second, through rider, hand")
    text = text.replace(
        "ropes:", "  grab: {is: cam-grab, at: [1, 6]}\n  rider: {is: pulley-single, at: grab}\nropes:"
    )
    assert len(chains(rig(text), "litter").independent) == 2
    assert len(chains(rig(text.replace("at: two, state", "at: one, state")), "litter").independent) == 1
