"""Small rigs whose pull can be written down by hand: nothing weighs but the load."""

from __future__ import annotations

from ropewright.catalogue import load_catalogue
from ropewright.effort import Prepared, prepare
from ropewright.rig import read_rig

_WEIGHTLESS = """
  cam-grab: {mass: 0}
  carabiner-locking: {mass: 0}
  running-back-up: {mass: 0, user-mass: 140}
  harness: {mass: 0, user-mass: 140}
"""


def three_to_one(mass: str = "100", efficiency: str = "0.90", up: float = 4, extra: str = "") -> str:
    """A crew behind the top sheave; F = W/(1 + e + e²)."""
    return f"""
rig: Three to one
points: {{beam: {{kind: anchor, at: [0, 12]}}, floor: {{kind: ground, at: [0, 0]}}}}
loads: {{weight: {{kind: object, mass: {mass}, at: [0, 1]}}}}
crews: {{team: {{at: [0, 30], people: 4}}}}
gear:
  device: {{is: lower-raise-device, at: beam}}
  grab: {{is: cam-grab, at: [0, 5]}}
  traveller: {{is: pulley-single, at: grab}}
ropes:
  main:
    is: rope-12.5-low-stretch
    length: 60
    run: [tie weight with bowline, grip grab, through device, through traveller, hand team]
haul: {{load: weight, up: {up}}}
assume:
  device: {{efficiency: {efficiency}, mass: 0, user-mass: 500}}
  traveller: {{efficiency: {efficiency}, mass: 0}}
  rope-12.5-low-stretch: {{mass: 0}}
{_WEIGHTLESS}{extra}
"""


def self_haul(mass: str = "95", efficiency: str = "0.90", up: float = 1, extra: str = "") -> str:
    """A climber under one sheave; F = W/(1 + e + e²), the strand in the hands carrying too."""
    return f"""
rig: Self-haul
points: {{beam: {{kind: anchor, at: [0, 9]}}, floor: {{kind: ground, at: [0, 0]}}}}
loads: {{climber: {{kind: person, mass: {mass}, at: [0, 1.2], wears: harness}}}}
gear:
  handled: {{is: cam-grab, at: [0, 3]}}
  above: {{is: pulley-single, at: handled}}
  device: {{is: lower-raise-device, at: climber}}
ropes:
  main:
    is: rope-12.5-low-stretch
    length: 30
    run: [tie beam with bowline, grip handled, through device, through above, hand climber]
haul: {{load: climber, up: {up}}}
assume:
  device: {{efficiency: {efficiency}, mass: 0, user-mass: 500}}
  above: {{efficiency: {efficiency}, mass: 0}}
  rope-12.5-low-stretch: {{mass: 0}}
{_WEIGHTLESS}{extra}
"""


def lane(length: str = "100 ft", reserve: str = "", ground: str = "0") -> str:
    """A descending lane whose rope ends at a releasable anchor 12.8 m up, the student 8 m up."""
    return f"""
rig: Lane
points:
  beam: {{kind: anchor, at: [0, 12.8]}}
  post: {{kind: anchor, at: [-2, 12.8]}}
  floor: {{kind: ground, at: [0, {ground}]}}
loads: {{student: {{kind: person, mass: 95, at: [0, 8], wears: harness}}}}
gear:
  release: {{is: bar-rack, at: beam, state: locked-off}}
  descender: {{is: descender-self-braking, at: student, state: in-hand}}
ropes:
  working:
    is: rope-11-low-stretch
    length: {length}
    run:
      - tie post with figure-eight-bight
      - through release slack 0.3
      - through descender
      - hand student
lower: {{load: student, down: 7}}
assume:
  descender: {{user-mass: 150}}
{_WEIGHTLESS}
policy: {{{reserve}}}
"""


def prepared(text: str, samples: int = 200) -> Prepared:
    """Read and move a rig."""
    catalogue = load_catalogue()
    return prepare(read_rig(text, catalogue), catalogue, samples)
