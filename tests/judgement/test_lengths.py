"""How long each rope has to be."""

from __future__ import annotations

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.judgement.examine import examine
from ropewright.judgement.lengths import rope_needs
from ropewright.rig import read_rig

KNOWN = load_catalogue()
DOUBLED_AND_STRAIGHT = """
rig: A litter let down on a doubled line, a second line straight to it
points:
  one: {kind: anchor, at: [0, 20], strength: 36 kN}
  two: {kind: anchor, at: [1, 20], strength: 36 kN}
  floor: {kind: ground, at: [0, 0]}
loads:
  litter: {kind: litter, mass: 90, at: [0.5, 12], wears: litter-basket}
crews:
  left: {at: [4, 20], people: 1}
  right: {at: [5, 20], people: 1}
gear:
  sheave: {is: pulley-single, at: litter}
  first:  {is: lower-raise-device, at: one, state: in-hand}
  second: {is: lower-raise-device, at: two, state: in-hand}
ropes:
  main: {is: rope-12.5-low-stretch, run: [tie one with bowline, through sheave, through first, hand left]}
  back: {is: rope-12.5-low-stretch, run: [tie litter with bowline, through second, hand right]}
lower: {load: litter, down: 4}
"""


def test_a_second_line_goes_out_as_far_as_the_load_not_as_far_as_the_ratio() -> None:
    needs = {need.rope: need for need in rope_needs(examine(read_rig(DOUBLED_AND_STRAIGHT, KNOWN), KNOWN))}
    assert needs["main"].paid == pytest.approx(8.0, abs=0.2)
    assert needs["back"].paid == pytest.approx(4.0, abs=0.2)
