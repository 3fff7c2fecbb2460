"""What is not made to hold people holds nobody; what would catch a load bears it near the ground too."""

from __future__ import annotations

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.findings import findings
from ropewright.judgement.rules import Context
from ropewright.rig import Answers, read_rig, starter_text

LOOP = """
rig: Standing in a foot loop
units: metric
points:
  beam:  {kind: anchor, at: [0, 12], strength: 36 kN}
  post:  {kind: anchor, at: [0.3, 12], strength: 36 kN}
  floor: {kind: ground, at: [0, 0]}
loads:
  climber: {kind: KIND, mass: 95, at: [0, 5.3], wears: harness}
gear:
  upper:  {is: handled-clamp, at: [0, 6]}
  backup: {is: running-back-up, at: climber, via: [carabiner-locking, lanyard]}
ropes:
  main:
    is: rope-12.5-low-stretch
    run: [tie beam with figure-eight-bight, grip upper, tail]
  foot:
    is: TYPE
    run: [tie upper with figure-eight-bight, tie climber with figure-eight-bight]
  second:
    is: rope-12.5-low-stretch
    run: [tie post with figure-eight-bight, grip backup slack 0.3 m, tail]
"""


def examined(kind: str, rope: str) -> Examination:
    text = LOOP.replace("KIND", kind).replace("TYPE", rope)
    if kind != "person":
        text = text.replace(", wears: harness", "")
    return examine(read_rig(text), load_catalogue())


def codes(x: Examination) -> set[str]:
    return {found.code for found in findings(x, "metric") if found.level == "stop"}


def test_a_foot_loop_is_no_chain_and_catches_nobody() -> None:
    loop, rope = examined("person", "foot-loop"), examined("person", "rope-11-low-stretch")
    (held,), (on_rope,) = loop.holdings, rope.holdings
    assert [chain.ropes for chain in held.independent] == [("second",)]
    assert len(on_rope.independent) == 2
    assert "too-few-chains" in codes(loop)
    assert "too-few-chains" not in codes(rope)
    falls = {f.component.label for f in loop.failures if f.after.verdict("climber") != "held"}
    assert {"backup", "rope second"} <= falls
    said = next(f.text for f in findings(loop, "metric") if f.code == "too-few-chains")
    assert "foot is not made to hold people" in said


def test_with_every_hand_off_the_weight_is_on_what_holds_people() -> None:
    x = examined("person", "foot-loop")
    assert x.hands_off is not None
    (outcome,) = x.hands_off.outcomes
    assert outcome.verdict == "held"
    assert outcome.drop == pytest.approx(0.3, abs=0.1)


def test_an_object_may_hang_in_one() -> None:
    (held,) = examined("object", "foot-loop").holdings
    assert len(held.independent) == 2


def test_what_would_catch_bears_the_whole_load_though_the_ground_comes_first() -> None:
    text = starter_text(Answers("haul-3-1", height=4.0, surface="concrete"))
    low = text.replace("at: [0, 0.4]", "at: [0, 1.2]").replace("slack 0.3 m", "slack 2 m")
    assert low != text
    x = examine(read_rig(low), load_catalogue())
    gone = next(f.after for f in x.failures if f.component.label == "rope main")
    (outcome,) = gone.outcomes
    assert (outcome.verdict, outcome.reason) == ("falls", "reaches the ground before the rope holds")
    context = Context(x, "metric")
    for name in ("second-device", "second", "second at litter"):
        load, when, _ = context.carried(next(part for part in x.parts if part.part == name))
        assert load > 900.0, name
        assert "has failed" in when
