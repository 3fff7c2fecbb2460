"""Whether a hand counts: only where what helps it stays, in the check and in a procedure alike."""

from __future__ import annotations

import pytest

from ropewright.judgement.components import Key, components
from ropewright.judgement.hand_help import helped_hands, without_help
from ropewright.procedure.model import Procedure
from ropewright.procedure.world import World, beginning
from ropewright.rig import Rig

from .small import CATALOGUE, rig

TEXT = """
rig: A litter on a line that a hand lets out
points:
  one: {kind: anchor, at: [0, 9], strength: 36 kN}
  two: {kind: anchor, at: [1, 9], strength: 36 kN}
loads:
  litter: {kind: litter, mass: 90, at: [0, 1], wears: litter-basket}
crews:
  left: {at: [4, 9], people: 1}
gear:
  ring: {is: plate, at: two}
  rider: RIDER
ropes:
  main: {is: rope-12.5-low-stretch, run: [tie litter with bowline, tie one with bowline]}
  back: {is: rope-12.5-low-stretch, run: [tie litter with bowline, HELP, hand left]}
OTHER
"""
HAND: Key = ("hand", "back", 2)


def rigged(rider: str, help_: str = "through rider", other: str = "") -> Rig:
    return rig(TEXT.replace("RIDER", rider).replace("HELP", help_).replace("OTHER", other))


def bare(one: Rig, *gone: Key) -> set[Key]:
    return set(without_help(helped_hands(one), gone))


def test_a_device_on_an_anchor_helps_until_anything_up_to_the_anchor_is_gone() -> None:
    one = rigged("{is: lower-raise-device, at: ring}")
    assert bare(one) == set()
    for lost in (("gear", "rider", 0), ("gear", "ring", 0), ("join", "ring", 1), ("anchor", "two", 0)):
        assert bare(one, lost) == {HAND}, lost


RIDES = "{is: pulley-single, at: [0.5, 5]}"
DRAWN = "  third: {is: rope-12.5-low-stretch, run: [tie two with bowline, tie rider with bowline]}"
ON_GRAB = "{is: pulley-single, at: hold}\n  hold: {is: cam-grab, at: [0.5, 5]}"
GRIPPED = "  third: {is: rope-12.5-low-stretch, run: [tie one with bowline, grip hold, tail]}"


def test_a_sheave_that_only_rides_on_the_hands_rope_helps_nobody_wherever_it_is_drawn() -> None:
    """A place on paper holds nothing: drawn or found from its neighbours, the hand is as bare."""
    assert bare(rigged(RIDES)) == {HAND}
    assert bare(rigged("{is: pulley-single}")) == {HAND}


def test_what_another_rope_holds_helps_as_long_as_that_rope_is_there() -> None:
    for one in (rigged(RIDES, other=DRAWN), rigged(ON_GRAB, other=GRIPPED)):
        assert bare(one) == set()
        assert bare(one, ("rope", "third", 0)) == {HAND}


@pytest.mark.parametrize(
    "one",
    [
        rigged("{is: lower-raise-device, at: ring}"),
        rigged(RIDES),
        rigged(RIDES, other=DRAWN),
        rigged(ON_GRAB, other=GRIPPED),
    ],
    ids=["device", "rides", "tied", "gripped"],
)
def test_a_procedure_counts_the_hands_that_the_check_counts(one: Rig) -> None:
    world = World(Procedure("P", "", one, "f", {}, {}, {}, {}, {}, ()), CATALOGUE)
    parts = components(one, CATALOGUE)
    uncounted = {part.key for part in world._uncounted(beginning(world), parts) if part.kind == "hand"}
    assert uncounted == bare(one)
