"""From the rig file's parts to points and contacts, whole and with something gone."""

import math

import numpy as np
import pytest

from ropewright.judgement.assemble import assemble
from ropewright.mechanics import GRAVITY
from ropewright.rig import Rig

from .small import CATALOGUE, DESCENT, descent, part, put, rig

PIGGY = """
rig: Gear on gear
points:
  beam:  {kind: anchor, at: [0, 9], strength: 36 kN}
  floor: {kind: ground, at: [0, 0]}
loads:
  person: {kind: person, mass: 90, at: [0, 1]}
gear:
  handled: {is: cam-grab, at: [0, 4]}
  twin:    {is: pulley-double, at: handled, via: [carabiner-locking, swivel]}
  device:  {is: lower-raise-device, at: person}
  below:   {is: pulley-single, at: person}
ropes:
  main:
    is: rope-12.5-low-stretch
    run:
      - tie beam
      - grip handled
      - through device
      - through twin.1
      - through below
      - through twin.2
      - hand person
haul: {load: person, up: 2}
assume:
  cam-grab: {mass: 0.3}
  pulley-double: {mass: 0.5}
  carabiner-locking: {mass: 0.1}
  swivel: {mass: 0.2}
"""


@pytest.fixture
def piggy() -> Rig:
    return rig(PIGGY, "")


def test_gear_clipped_to_gear_shares_its_point(piggy: Rig) -> None:
    whole = put(piggy)
    assert whole.node["twin"] == whole.node["handled"]
    assert whole.node["device"] == whole.node["below"] == whole.node["person"] == whole.system.load
    assert len(whole.system.names) == 4  # the beam, the floor, the person, the grab
    assert whole.system.fixed[whole.node["beam"]]
    assert not whole.system.fixed[whole.node["handled"]]
    assert whole.system.mass[whole.node["handled"]] == pytest.approx(0.3 + 0.5 + 0.1 + 0.2)


def test_a_broken_join_makes_two_points_of_one(piggy: Rig) -> None:
    for index in (1, 2):
        apart = put(piggy, part(piggy, "join", "twin", index))
        assert apart.node["twin"] != apart.node["handled"]
        assert "twin" not in apart.parent
        # what was clipped together hangs where it was
        assert apart.system.position[apart.node["twin"]].tolist() == [0, 0, 4]
        verbs = [w.contact.verb for w in apart.wires]
        assert len(verbs) == 7  # the rope still runs through it


def test_gear_that_is_gone_takes_its_contacts_with_it(piggy: Rig) -> None:
    less = put(piggy, part(piggy, "gear", "twin"))
    assert [w.contact.target for w in less.wires] == ["beam", "handled", "device", "below", "person"]
    laid = dict(zip([w.index for w in less.wires], less.system.ropes[0].laid, strict=False))
    whole = put(piggy).system.ropes[0].laid
    drawn = np.linalg.norm
    at = less.system.position
    # as drawn, with no state given, the rope is pulled straight: its strand is as long as the gap
    assert laid[2] == pytest.approx(drawn(at[less.node["device"]] - at[less.node["below"]]))
    # from a state, the rope that ran through it is there still, summed over the contacts that are gone
    state = put(piggy).state(put(piggy).system)
    kept = assemble(piggy, CATALOGUE, gone=[part(piggy, "gear", "twin")], state=state).system.ropes[0].laid
    assert kept[2] == pytest.approx(whole[2] + whole[3])
    assert kept[3] == pytest.approx(whole[4] + whole[5])
    assert sum(kept) == pytest.approx(sum(whole))


def test_one_sheave_of_two_can_go(piggy: Rig) -> None:
    less = put(piggy, part(piggy, "sheave", "twin", 2))
    assert [(w.contact.target, w.contact.sheave) for w in less.wires if w.contact.target == "twin"] == [
        ("twin", 1)
    ]


def test_a_grab_that_is_gone_drops_what_hung_on_it(piggy: Rig) -> None:
    less = put(piggy, part(piggy, "gear", "handled"))
    assert "twin" not in less.parent
    assert less.node["twin"] != less.node["handled"]


def test_a_knot_at_the_end_that_fails_leaves_a_tail_and_an_anchor_that_fails_comes_along(piggy: Rig) -> None:
    untied = put(piggy, part(piggy, "tie", "main"))
    assert untied.system.ropes[0].contacts[0].end == "tail"
    torn = put(piggy, part(piggy, "anchor", "beam"))
    assert not torn.system.fixed[torn.node["beam"]]
    assert torn.system.ropes[0].contacts[0].holds == "both"


def test_a_rope_that_is_cut_is_not_there(piggy: Rig) -> None:
    assert put(piggy, part(piggy, "rope", "main")).system.ropes == ()


def test_hands_let_go_all_at_once_or_one_by_one(piggy: Rig) -> None:
    assert put(piggy).system.ropes[0].contacts[-1].end == "hand"
    for gone in (put(piggy, hands_off=True), put(piggy, part(piggy, "hand", "main"))):
        assert gone.system.ropes[0].contacts[-1].end == "tail"


# --- devices


@pytest.mark.parametrize(
    ("device", "state", "hands_off", "holds"),
    [
        ("descender-self-braking", "running", False, "backward"),
        ("descender-self-braking", "running", True, "backward"),
        ("descender-self-braking", "in-hand", False, "none"),
        ("descender-self-braking", "in-hand", True, "backward"),  # it bites once nobody holds it open
        ("descender-self-braking", "locked-off", False, "both"),
        ("descender-self-braking", "locked-off", True, "both"),
        ("bar-rack", "in-hand", False, "none"),
        ("bar-rack", "in-hand", True, "none"),  # only a hand ever held it
        ("bar-rack", "running", True, "none"),
        ("bar-rack", "locked-off", True, "both"),
        ("figure-eight", "in-hand", True, "none"),
    ],
)
def test_what_a_device_holds_follows_from_its_state_and_the_hands(
    device: str, state: str, hands_off: bool, holds: str
) -> None:
    assert put(descent(device, state), hands_off=hands_off).system.contacts[1].holds == holds


def test_a_hand_that_fails_closes_the_device_that_it_held_open() -> None:
    one = descent("descender-self-braking", "in-hand")
    assert put(one, part(one, "hand", "main")).system.contacts[1].holds == "backward"


def test_the_wrong_way_round_turns_what_holds_and_what_rubs() -> None:
    right = put(descent("descender-self-braking", "running")).system.contacts[1]
    wrong = put(descent("descender-self-braking", "running", turned="reversed")).system.contacts[1]
    assert (right.holds, wrong.holds) == ("backward", "forward")
    assert (wrong.forward, wrong.backward) == (right.backward, right.forward)
    assert right.forward != right.backward


def test_a_lock_on_a_cam_counts_only_when_the_rope_is_laid_in_the_right_way_round() -> None:
    right = put(descent("descender-self-braking", "locked-off")).system.contacts[1]
    wrong = put(descent("descender-self-braking", "locked-off", turned="reversed")).system.contacts[1]
    assert (right.holds, wrong.holds) == ("both", "forward")
    assert not right.opens


def test_a_tied_off_rack_holds_both_ways_however_it_is_threaded() -> None:
    assert put(descent("bar-rack", "locked-off", turned="reversed")).system.contacts[1].holds == "both"


def test_slip_is_taken_at_its_low_end() -> None:
    text = (
        DESCENT.replace("DEVICE", "descender-self-braking").replace("STATE", "running").replace("END", "tail")
    )
    one = rig(text.replace(" TURNED", ""), "assume: {device: {slips: 3..9 kN}}\n")
    assert put(one).system.contacts[1].slips == pytest.approx(3000.0)


# --- friction

EDGE = """
rig: Over an edge
points:
  ring: {kind: anchor, at: [4, 6]}
  lip:  {kind: edge, at: [0, 6], surface: concrete}
loads:
  weight: {kind: object, mass: 80, at: [0, 0]}
ropes:
  main: {is: rope-12.5-low-stretch, run: [tie ring, over lip, tie weight]}
assume:
  concrete: {friction: 0.3..0.5}
  roller: {friction: 0.1}
"""


def test_protection_takes_the_place_of_the_surface() -> None:
    bare = put(rig(EDGE, "")).system.contacts[1]
    assert bare.forward.per_radian == bare.backward.per_radian == pytest.approx(0.4)
    rolled = rig(EDGE.replace("surface: concrete", "surface: concrete, protection: roller"), "")
    assert put(rolled).system.contacts[1].forward.per_radian == pytest.approx(0.1)
    rough = assemble(rig(EDGE, ""), CATALOGUE, friction="heavy").system.contacts[1]
    assert rough.forward.per_radian == pytest.approx(0.5)


def test_an_efficiency_is_given_at_a_half_turn(piggy: Rig) -> None:
    one = rig(PIGGY + "  pulley-single: {efficiency: 0.8..0.9}\n", "")
    below = next(k for k, w in enumerate(put(one).wires) if w.contact.target == "below")
    assert put(one).system.contacts[below].forward.log_ratio(math.pi) == pytest.approx(-math.log(0.85))
    heavy = assemble(one, CATALOGUE, friction="heavy").system.contacts[below]
    assert heavy.forward.log_ratio(math.pi) == pytest.approx(-math.log(0.8))


def test_slack_is_laid_in_the_span_that_ends_there_and_makes_the_hand_a_tending_one() -> None:
    text = PIGGY.replace("- hand person", "- hand person slack 0.7")
    loose, tight = put(rig(text, "")).system.ropes[0], put(rig(PIGGY, "")).system.ropes[0]
    assert loose.laid[-1] - tight.laid[-1] == pytest.approx(0.7)
    assert (loose.idle, tight.idle) == (True, False)


def test_only_a_long_rope_has_weight() -> None:
    assert put(rig(EDGE, "")).system.ropes[0].weight == 0.0
    far = rig(EDGE.replace("at: [0, 0]}", "at: [0, -20]}") + "  rope-12.5-low-stretch: {mass: 0.1}\n", "")
    assert put(far).system.ropes[0].weight == pytest.approx(0.1 * GRAVITY)


def test_a_grab_stays_where_it_was_put_up_to_twice_its_weight_but_not_on_a_person(piggy: Rig) -> None:
    assert put(piggy).system.contacts[1].slides == pytest.approx(2 * 1.1 * GRAVITY)
    text = DESCENT.replace("DEVICE", "chest-clamp").replace("STATE", "running").replace("END", "tail")
    worn = rig(text.replace("through device TURNED", "grip device"))
    assert put(worn).system.contacts[1].slides == 0.0


def test_a_state_says_where_things_are() -> None:
    one = descent("descender-self-braking", "running", "tail")
    whole = put(one)
    moved = whole.system.position.copy()
    moved[whole.node["person"]] = 1.0, 0.0, 3.0
    state = whole.state(whole.system.with_state(moved, np.array([7.0, 0.5])))
    again = assemble(one, CATALOGUE, state=state)
    assert again.system.position[again.node["device"]].tolist() == [1, 0, 3]
    assert again.system.ropes[0].laid == (7.0, 0.5)
