"""Small rigs as text, each within policy as it stands, for tests that spoil one thing."""

from __future__ import annotations

from functools import cache

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.findings import findings
from ropewright.judgement.rules import Finding
from ropewright.rig import read_rig

HANG = """
rig: A person on two ropes
points:
  left: {kind: anchor, at: [-0.2, 9], strength: 36 kN}
  right: {kind: anchor, at: [0.2, 9], strength: 36 kN}
  floor: {kind: ground, at: [0, 0]}
loads:
  climber: {kind: person, mass: 95, at: [0, 5], wears: harness}
ropes:
  one:
    is: rope-12.5-low-stretch
    length: 12
    run: [tie left with figure-eight-bight, tie climber with figure-eight-bight]
  two:
    is: rope-12.5-low-stretch
    length: 12
    run: [tie right with figure-eight-bight, tie climber with figure-eight-bight]
assume:
  harness: {strength: 15 kN, user-mass: 140}
"""

LOWER = """
rig: A litter on a main line and a slack second line
points:
  main-ring: {kind: anchor, at: [-0.3, 12], strength: 36 kN}
  second-ring: {kind: anchor, at: [0.3, 12], strength: 36 kN}
  floor: {kind: ground, at: [0, 0]}
loads:
  litter: {kind: litter, mass: 180, at: [0, 8], wears: litter-basket}
crews:
  main-hand: {at: [-3, 11.8], people: 1, pull: 0.2}
  second-hand: {at: [3, 11.8], people: 1, pull: 0.2}
gear:
  main-device: {is: lower-raise-device, at: main-ring, state: in-hand}
  second-device: {is: lower-raise-device, at: second-ring, state: in-hand}
ropes:
  main:
    is: rope-12.5-low-stretch
    length: 60
    run: [tie litter with figure-eight-bight, through main-device, hand main-hand]
  second:
    is: rope-12.5-low-stretch
    length: 60
    run: [tie litter with figure-eight-bight, through second-device slack 0.4, hand second-hand]
lower: {load: litter, down: 7}
assume:
  lower-raise-device: {user-mass: 280, slips: 14 kN}
  litter-basket: {strength: 20 kN, user-mass: 270}
"""

HAUL = """
rig: A weight on a 3:1
points:
  beam: {kind: anchor, at: [0, 12], strength: 36 kN}
  frame: {kind: anchor, at: [0.3, 12], strength: 36 kN}
  roof: {kind: stand, at: [6, 11]}
loads:
  weight: {kind: object, mass: 80, at: [0, 1]}
crews:
  haulers: {at: [6, 12], people: 3, pull: 0.2}
gear:
  device: {is: lower-raise-device, at: beam}
  grab: {is: cam-grab, at: [0, 6]}
  traveller: {is: pulley-single, at: grab}
  change: {is: pulley-single, at: frame}
ropes:
  main:
    is: rope-12.5-low-stretch
    length: 60
    run:
      - tie weight with figure-eight-bight
      - grip grab
      - through device
      - through traveller
      - through change
      - hand haulers
haul: {load: weight, up: 4}
assume:
  device: {user-mass: 280}
"""

LEGS = """
rig: A weight on two legs
points:
  left: {kind: anchor, at: [-2, 11], strength: 36 kN}
  right: {kind: anchor, at: [2, 11], strength: 36 kN}
loads:
  weight: {kind: object, mass: 150, at: [0, 4]}
gear:
  master: {is: plate, at: [0, 9]}
ropes:
  left-leg: {is: rope-12.5-low-stretch, length: 5, run: [tie left with bowline, tie master with bowline]}
  right-leg: {is: rope-12.5-low-stretch, length: 5, run: [tie right with bowline, tie master with bowline]}
  main: {is: rope-12.5-low-stretch, length: 8, run: [tie master with bowline, tie weight with bowline]}
assume:
  plate: {strength: 36 kN}
"""

EDGE = """
rig: A weight hauled over an edge
points:
  ring: {kind: anchor, at: [9, 12.6], strength: 36 kN}
  lip: {kind: edge, at: [0, 12.8], surface: concrete, protection: roller}
loads:
  weight: {kind: object, mass: 60, at: [0, 6]}
crews:
  haulers: {at: [14, 12.7], people: 4, pull: 0.4}
gear:
  device: {is: lower-raise-device, at: ring}
ropes:
  main:
    is: rope-12.5-low-stretch
    length: 50
    run: [tie weight with figure-eight-bight, over lip, through device, hand haulers]
haul: {load: weight, up: 4}
assume:
  device: {user-mass: 280}
"""


def swapped(text: str, *swaps: tuple[str, str]) -> str:
    """The text with each first string replaced; an error where it isn't there to be replaced."""
    for old, new in swaps:
        if old not in text:
            raise ValueError(f"{old!r} is not in the text")
        text = text.replace(old, new)
    return text


@cache
def examined(text: str) -> Examination:
    return examined_with(text, load_catalogue())


def examined_with(text: str, catalogue: Catalogue) -> Examination:
    return examine(read_rig(text, catalogue), catalogue, 200)


def found(text: str, *swaps: tuple[str, str]) -> tuple[Finding, ...]:
    return findings(examined(swapped(text, *swaps)))


def codes(text: str, *swaps: tuple[str, str]) -> set[str]:
    return {f.code for f in found(text, *swaps)}
