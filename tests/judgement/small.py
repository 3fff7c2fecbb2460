"""Small rigs as text, their figures stated so that answers have closed forms."""

from __future__ import annotations

import numpy as np

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.judgement.assemble import Assembly, assemble
from ropewright.judgement.components import Component, components
from ropewright.judgement.state import State
from ropewright.mechanics import held, settle
from ropewright.rig import Rig, read_rig

CATALOGUE: Catalogue = load_catalogue()
EA = 80_000.0

WEIGHTLESS = """
assume:
  rope-12.5-low-stretch: {stiffness: 80 kN, strength: 40 kN}
  harness: {strength: 15 kN, user-mass: 140}
"""

TWO_LINES = """
rig: Two lines
points:
  main-ring:   {kind: anchor, at: [0, 12], strength: 36 kN}
  second-ring: {kind: anchor, at: [3, 12], strength: 30 kN}
  floor:       {kind: ground, at: [0, 0]}
loads:
  person: {kind: person, mass: 100, at: [0, 8], wears: harness}
ropes:
  main:
    is: rope-12.5-low-stretch
    run: [tie main-ring with bowline, tie person with figure-eight-bight]
  second:
    is: rope-12.5-low-stretch
    run: [tie second-ring with bowline, tie person with figure-eight-bight slack 0.5]
"""

DESCENT = """
rig: A descent
points:
  beam:  {kind: anchor, at: [0, 12], strength: 36 kN}
  floor: {kind: ground, at: [0, 0]}
loads:
  person: {kind: person, mass: 100, at: [0, 6], wears: harness}
gear:
  device: {is: DEVICE, at: person, state: STATE}
ropes:
  main:
    is: rope-12.5-low-stretch
    run: [tie beam with bowline, through device TURNED, END]
"""


def rig(text: str, assume: str = WEIGHTLESS) -> Rig:
    return read_rig(text + assume, CATALOGUE)


def descent(device: str, state: str, end: str = "hand person", turned: str = "") -> Rig:
    """A person on one device."""
    text = DESCENT.replace("DEVICE", device).replace("STATE", state)
    return rig(text.replace(" TURNED", f" {turned}" if turned else "").replace("END", end))


def put(one: Rig, *gone: Component, hands_off: bool = False) -> Assembly:
    return assemble(one, CATALOGUE, gone=gone, hands_off=hands_off)


def part(one: Rig, kind: str, name: str, index: int | None = None) -> Component:
    """One component, by kind and part."""
    found = [
        c
        for c in components(one, CATALOGUE)
        if c.kind == kind and c.part == name and index in (None, c.index)
    ]
    assert found, f"no {kind} of {name}"
    return found[0]


def at_rest(one: Rig) -> State:
    """The state in which the rig hangs still with hands on."""
    whole = put(one)
    keeps = held(whole.system)
    rest = settle(whole.system, movable=np.flatnonzero(keeps & ~whole.system.fixed))
    assert rest.settled
    return whole.state(whole.system.with_state(rest.position, rest.laid))
