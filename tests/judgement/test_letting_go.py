"""What becomes of a load when something lets go, against closed forms."""

import math

import pytest

from ropewright.judgement.components import Component
from ropewright.judgement.ground import ground_below
from ropewright.judgement.letting_go import Aftermath, Outcome, let_go
from ropewright.mechanics import GRAVITY
from ropewright.rig import Rig

from .small import CATALOGUE, DESCENT, EA, TWO_LINES, at_rest, descent, part, put, rig

STRONG = {"person": 1e6, "crew": 1e6}


def after(
    one: Rig, *gone: Component, hands_off: bool = False, grip: dict[str, float] | None = None
) -> Aftermath:
    return let_go(
        one,
        CATALOGUE,
        at_rest(one),
        gone=gone,
        hands_off=hands_off,
        grip=STRONG if grip is None else grip,
    )


def outcome(
    one: Rig, *gone: Component, hands_off: bool = False, grip: dict[str, float] | None = None
) -> Outcome:
    return after(one, *gone, hands_off=hands_off, grip=grip).outcomes[0]


def test_a_cut_main_line_swings_the_load_below_the_second() -> None:
    one = rig(TWO_LINES)
    found = outcome(one, part(one, "rope", "main"))
    weight = 100 * GRAVITY
    before = 12 - 4 * (1 + weight / EA)
    laid = math.hypot(3, 4) + 0.5
    assert found.verdict == "held"
    assert found.drop == pytest.approx(before - (12 - laid * (1 + weight / EA)), abs=2e-3)
    assert found.swing == pytest.approx(3.0, abs=2e-3)


def test_a_second_line_that_nothing_is_asked_of_changes_nothing() -> None:
    one = rig(TWO_LINES)
    found = outcome(one, part(one, "rope", "second"))
    assert (found.verdict, found.reason) == ("held", "")
    assert found.drop == pytest.approx(0.0, abs=1e-4)


def test_both_gone_falls_to_the_ground() -> None:
    one = rig(TWO_LINES)
    found = outcome(one, part(one, "rope", "main"), part(one, "anchor", "second-ring"))
    assert found.verdict == "falls"
    assert found.drop == pytest.approx(12 - 4 * (1 + 100 * GRAVITY / EA), abs=1e-3)
    assert "nothing holds it" in found.reason


def test_without_a_ground_in_the_drawing_the_fall_has_no_length() -> None:
    text = TWO_LINES.replace("  floor:       {kind: ground, at: [0, 0]}\n", "")
    one = rig(text)
    assert ground_below(one, 8.0) is None
    assert outcome(one, part(one, "rope", "main"), part(one, "rope", "second")).drop is None


def test_a_second_line_longer_than_the_way_to_the_ground_is_no_help() -> None:
    one = rig(TWO_LINES.replace("slack 0.5", "slack 9"))
    found = outcome(one, part(one, "rope", "main"))
    assert found.verdict == "falls"
    assert found.reason == "reaches the ground before the rope holds"


def test_the_nearest_ground_or_stand_below_counts() -> None:
    text = TWO_LINES.replace("floor:", "deck:  {kind: stand, at: [1, 5]}\n  floor:")
    one = rig(text)
    assert ground_below(one, 8.0) == 5.0
    assert ground_below(one, 4.0) == 0.0
    assert outcome(one, part(one, "rope", "main"), part(one, "rope", "second")).drop == pytest.approx(
        3, abs=0.1
    )


@pytest.mark.parametrize(
    ("device", "state", "end", "verdict"),
    [
        ("descender-self-braking", "in-hand", "hand person", "held"),
        ("descender-self-braking", "running", "tail", "held"),
        ("descender-self-braking", "locked-off", "tail", "held"),
        ("bar-rack", "in-hand", "hand person", "runs"),
        ("bar-rack", "locked-off", "hand person", "held"),
        ("figure-eight", "in-hand", "hand person", "runs"),
    ],
)
def test_hands_off(device: str, state: str, end: str, verdict: str) -> None:
    assert outcome(descent(device, state, end), hands_off=True).verdict == verdict


def test_a_device_threaded_the_wrong_way_does_not_hold() -> None:
    one = descent("descender-self-braking", "running", "hand person", "reversed")
    assert outcome(one).verdict == "held"  # as long as somebody holds the rope, and is as strong as a vice
    assert outcome(one, hands_off=True).verdict == "runs"


def test_a_device_that_comes_off_the_person_drops_him() -> None:
    one = descent("descender-self-braking", "locked-off", "tail")
    for kind in ("gear", "join"):
        assert outcome(one, part(one, kind, "device")).verdict == "falls"


def test_a_grip_slips_above_its_force() -> None:
    one = descent("descender-self-braking", "running", "tail")
    assert outcome(one).verdict == "held"
    text = DESCENT.replace("DEVICE", "descender-self-braking").replace("STATE", "running")
    text = text.replace(" TURNED", "").replace("END", "tail")
    weak = rig(text, "assume: {device: {slips: 0.8..0.9 kN}}\n")
    found = outcome(weak)
    assert found.verdict == "falls"
    assert "slipping" in found.reason


HAND_HELD = """
rig: Over a pulley in hands
points:
  beam:  {kind: anchor, at: [0, 9]}
  floor: {kind: ground, at: [0, 0]}
loads:
  weight: {kind: object, mass: 30, at: [0, 4]}
crews:
  crew: {at: [2, 1], people: 2}
gear:
  corner: {is: pulley-single, at: beam}
ropes:
  main: {is: rope-12.5-low-stretch, run: [tie weight, through corner, hand crew]}
"""


def test_hands_pulled_harder_than_they_hold_give_way() -> None:
    one = rig(
        HAND_HELD, "assume: {pulley-single: {efficiency: 1}, rope-12.5-low-stretch: {stiffness: 80 kN}}\n"
    )
    pull = 30 * GRAVITY
    firm = after(one, grip={"crew": 1.01 * pull})
    assert (firm.outcomes[0].verdict, firm.hands_gave_way) == ("held", False)
    weak = after(one, grip={"crew": 0.99 * pull})
    assert (weak.outcomes[0].verdict, weak.hands_gave_way) == ("runs", True)
    assert after(one, grip={}).hands_gave_way


def braked(device: str) -> Rig:
    """A descent whose device holds ten to thirty times what the hand does."""
    text = DESCENT.replace("DEVICE", device).replace("STATE", "in-hand").replace(" TURNED", "")
    return rig(text.replace("END", "hand person"), f"assume: {{{device}: {{ratio: 10..30}}}}\n")


def test_a_hand_keeps_what_friction_helps_it_keep() -> None:
    one, least = braked("bar-rack"), 100 * GRAVITY / 10
    firm, weak = after(one, grip={"person": 1.02 * least}), after(one, grip={"person": 0.98 * least})
    assert (firm.outcomes[0].verdict, firm.hands_gave_way) == ("held", False)
    assert (weak.outcomes[0].verdict, weak.hands_gave_way) == ("runs", True)


def test_overpowered_hands_leave_what_bites_by_itself() -> None:
    one = braked("descender-self-braking")
    least = 100 * GRAVITY / 10  # friction at its least: the device holds ten times what the hand does
    assert not after(one, grip={"person": 1.02 * least}).hands_gave_way
    found = after(one, grip={"person": 0.98 * least})
    assert found.hands_gave_way
    assert found.outcomes[0].verdict == "held"


def test_who_hangs_on_someone_who_falls_falls_too() -> None:
    text = TWO_LINES.replace(
        "ropes:",
        "  other: {kind: person, mass: 80, at: [0, 6]}\nropes:\n"
        "  between: {is: rope-12.5-low-stretch, run: [tie person, tie other]}",
    )
    one = rig(text)
    gone = [part(one, "rope", "main"), part(one, "rope", "second")]
    found = after(one, *gone)
    assert {o.load: o.verdict for o in found.outcomes} == {"person": "falls", "other": "falls"}
    assert found.rest is None
    lower = after(one, part(one, "rope", "between"))
    assert {o.load: o.verdict for o in lower.outcomes} == {"person": "held", "other": "falls"}
    assert lower.verdict("other") == "falls"


def test_a_counterweight_holds_but_goes_further_than_the_drawing() -> None:
    """Two loads on one rope over a pulley: the heavier sinks until the lighter is at the pulley."""
    text = (
        HAND_HELD.replace("hand crew", "tie pack")
        .replace("crews:\n  crew: {at: [2, 1], people: 2}\n", "")
        .replace("loads:", "loads:\n  pack: {kind: pack, mass: 20, at: [0.5, 3]}")
    )
    whole = put(rig(text))
    after_all = let_go(whole.rig, CATALOGUE, whole.state(whole.system), grip=STRONG)
    found = {o.load: o for o in after_all.outcomes}
    assert found["weight"].verdict != "held"
