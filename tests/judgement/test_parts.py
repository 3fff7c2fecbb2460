"""Every part's load against its strength, with closed forms."""

import numpy as np
import pytest

from ropewright.judgement.examine import examine
from ropewright.judgement.moved import Moved
from ropewright.judgement.parts import PartLoad, caps, part_loads, rest_pulls, strengths
from ropewright.mechanics import GRAVITY, held, limit, settle
from ropewright.rig import Rig

from .small import CATALOGUE, TWO_LINES, put, rig

HANGING = """
rig: A weight on a pulley on a sling
points:
  beam:  {kind: anchor, at: [0, 10], strength: 30 kN}
  lip:   {kind: edge, at: [5, 5], surface: wood}
loads:
  weight: {kind: person, mass: 100, at: [0, 2], wears: harness}
gear:
  hook:  {is: swivel, at: beam, via: [carabiner-locking, sling, carabiner-locking]}
  wheel: {is: pulley-single, at: hook}
ropes:
  main:
    is: rope-12.5-low-stretch
    run: [tie weight with figure-eight-bight, through wheel, tie low]
"""
ASSUME = """
assume:
  rope-12.5-low-stretch: {strength: 32..40 kN, stiffness: 80 kN}
  figure-eight-bight: {keeps: 0.7..0.8}
  swivel: {mass: 1, strength: 20 kN}
  pulley-single: {mass: 2, strength: 25 kN}
  carabiner-locking: {mass: 0.5, strength: 22 kN}
  sling: {mass: 0, strength: 22 kN}
  harness: {strength: 15 kN}
"""


@pytest.fixture
def hanging() -> Rig:
    low = "  low:   {kind: anchor, at: [0, 0]}\nloads:"
    return rig(HANGING.replace("loads:", low, 1), ASSUME)


def loads(one: Rig) -> dict[str, float]:
    whole = put(one)
    keeps = held(whole.system)
    rest = settle(whole.system, movable=np.flatnonzero(keeps & ~whole.system.fixed))
    assert rest.settled
    return {name: float(v[0]) for name, v in part_loads(whole, rest_pulls(whole, rest)).items()}


def test_a_join_bears_what_hangs_below_it(hanging: Rig) -> None:
    found = loads(hanging)
    tension = 100 * GRAVITY
    assert found["main"] == pytest.approx(tension, rel=1e-5)
    assert found["main at weight"] == found["main at low"] == pytest.approx(tension, rel=1e-5)
    assert found["harness of weight"] == pytest.approx(tension, rel=1e-5)
    # two strands on the wheel, then each piece's own weight on the way up
    wheel = 2 * tension + (2 + 0.5) * GRAVITY
    assert found["wheel"] == found["carabiner-locking of wheel"] == pytest.approx(wheel, rel=1e-5)
    hook = wheel + (1 + 2 * 0.5) * GRAVITY
    assert found["hook"] == pytest.approx(hook, rel=1e-5)
    for label in ("carabiner-locking 1 of hook", "sling 2 of hook", "carabiner-locking 3 of hook"):
        assert found[label] == pytest.approx(hook, rel=1e-5)
    assert found["beam"] == pytest.approx(hook, rel=1e-5)
    assert found["low"] == pytest.approx(tension, rel=1e-5)


def test_strengths_and_what_nobody_said(hanging: Rig) -> None:
    found = {s.part: s for s in strengths(put(hanging))}
    assert found["beam"].value is not None
    assert found["beam"].value.low == 30e3
    assert found["low"].value is None
    knot = found["main at weight"].value
    assert knot is not None
    assert (knot.low, knot.high) == pytest.approx((0.7 * 32e3, 0.8 * 40e3))
    assert found["main at low"].value is None  # no knot is named
    assert found["main at low"].source == "no knot is named"
    assert "lip" not in found
    assert found["harness of weight"].kind == "body"


def test_a_factor_is_the_low_end_of_the_strength_over_the_load(hanging: Rig) -> None:
    parts = {p.part: p for p in examine(hanging, CATALOGUE, samples=5).parts}
    tension = 100 * GRAVITY

    def factor(name: str) -> float:
        part: PartLoad = parts[name]
        assert part.factor is not None
        return part.factor

    assert factor("main") == pytest.approx(32e3 / tension, rel=1e-4)
    assert factor("main at weight") == pytest.approx(0.7 * 32e3 / tension, rel=1e-4)
    assert factor("harness of weight") == pytest.approx(15e3 / tension, rel=1e-4)
    assert factor("carabiner-locking of wheel") == pytest.approx(
        22e3 / (2 * tension + 2.5 * GRAVITY), rel=1e-4
    )
    assert parts["low"].factor is None
    assert parts["low"].load.likely == pytest.approx(tension, rel=1e-4)
    assert parts["main at low"].factor is None


def test_what_nothing_pulls_has_no_factor() -> None:
    parts = {p.part: p for p in examine(rig(TWO_LINES), CATALOGUE, samples=5).parts}
    assert parts["second"].factor is None
    assert parts["second"].load.likely == 0.0
    assert parts["second-ring"].strength == 30e3


def test_caps_name_the_first_to_go(hanging: Rig) -> None:
    whole = put(hanging)
    rest = settle(whole.system)
    known = caps(whole, {})
    assert "low" not in {c.name for c in known}
    found = limit(whole.system, rest.position, whole.system.weight, known, band=1e-6)
    assert found is not None
    # the swivel gives at 20 kN, the harness would at 15 kN on one strand; at best the wheel's friction, 0.85
    # for its half turn, takes that share off the second strand
    assert known[found.first].name == "hook"
    tension = 100 * GRAVITY
    assert found.multiple == pytest.approx(20e3 / (1.85 * tension), rel=2e-3)


def test_hands_cap_at_their_grip() -> None:
    text = HANGING.replace("tie low", "hand crew").replace(
        "gear:", "crews:\n  crew: {at: [0, 0], people: 2}\ngear:"
    )
    whole = put(rig(text, ASSUME))
    found = {c.name: c.strength for c in caps(whole, {"crew": 300.0})}
    assert found["hand of crew"] == 300.0
    assert "hand of crew" not in {c.name for c in caps(whole, {})}


THREE_TO_ONE = """
rig: A weight on a 3:1, nothing else in the way
points:
  beam: {kind: anchor, at: [0, 10], strength: 36 kN}
  ground: {kind: ground, at: [0, 0]}
loads:
  weight: {kind: object, mass: 100, at: [0, 1]}
crews:
  team: {at: [0, 12], people: 4}  # straight above: every strand runs plumb
gear:
  top:  {is: pulley-single, at: beam}
  grab: {is: cam-grab, at: [0, 4]}
  low:  {is: pulley-single, at: grab}
ropes:
  main:
    is: rope-12.5-low-stretch
    run: [tie weight with bowline, grip grab, through top, through low, hand team]
haul: {load: weight, up: 1}
assume:
  pulley-single: {efficiency: 0.9, mass: 0, length: 0.1}
  cam-grab: {mass: 0, length: 0.1}
  carabiner-locking: {mass: 0, length: 0}
"""


ASLANT = THREE_TO_ONE.replace("at: [0, 12]", "at: [5, 12]")


def test_a_grab_of_a_haul_bears_what_it_takes_out_of_the_rope() -> None:
    """A 3:1 of sheaves of 0.9: the traveller takes 1.9 of 2.71 parts of the weight, the rope below all."""
    x = examine(rig(THREE_TO_ONE, ""), CATALOGUE, samples=32)
    found = {p.part: p.load.likely for p in x.parts if p.state == "hauling"}
    assert found["main"] == pytest.approx(100 * GRAVITY, rel=1e-4)
    assert found["grab"] == pytest.approx(found["main"] * 1.9 / 2.71, rel=1e-4)


@pytest.mark.parametrize("text", [THREE_TO_ONE, ASLANT], ids=["plumb", "aslant"])
def test_a_riding_grab_is_in_equilibrium_with_what_hangs_in_its_eye(text: str) -> None:
    one = rig(text, "")
    haul = examine(one, CATALOGUE, samples=32).haul
    assert isinstance(haul, Moved)
    found = haul.pulls
    ((name, given),) = found.gripped
    assert name == "grab"
    eye = float(np.linalg.norm(found.on_part["low"][:, 0]))
    assert float(given[0]) == pytest.approx(eye, rel=1e-3)
    sides = sorted(float(found.tension[k, 0]) for k in (0, 1))
    size = float(given[0])
    assert sides[1] - sides[0] <= size * (1 + 1e-9)
    assert size <= sum(sides)
    load = float(part_loads(haul.assembly, found)["grab"][0])
    assert load == pytest.approx(size, rel=1e-6)


def test_the_limit_asks_a_riding_grab_for_what_it_bears() -> None:
    """All that pulls on the grab and on the sheave it carries is nothing: the limit looks at the grip."""
    strong = THREE_TO_ONE.replace("cam-grab: {", "cam-grab: {strength: 3 kN, slips: 50 kN, ")
    whole = put(rig(strong, ""))
    asked = [cap for cap in caps(whole, {}) if cap.name == "grab"]
    assert sorted(cap.pulls for cap in asked if len(cap.pulls) == 2) == [((0, -1), (1, 1))]
