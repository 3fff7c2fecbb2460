"""What is clipped to what."""

from ropewright.catalogue import load_catalogue
from ropewright.rig import Rig, clipped_on, clipped_to, hangs_on, read_rig

TEXT = """
rig: A chain of gear
units: metric
points: {ring: {kind: anchor, at: [0, 10]}}
loads: {weight: {kind: object, mass: 80, at: [0, 5]}}
gear:
  plate: {is: plate, at: ring}
  device: {is: lower-raise-device, at: plate}
  grab: {is: cam-grab, at: [0, 7]}
  pulley: {is: pulley-single, at: grab}
ropes:
  main:
    is: rope-11-low-stretch
    length: 30
    run: [tie weight with figure-eight-bight, grip grab, through device, through pulley, tail]
"""


def rig() -> Rig:
    return read_rig(TEXT, load_catalogue())


def test_each_place_is_told_from_the_gear_to_what_it_hangs_on() -> None:
    assert list(clipped_to(rig(), "device")) == ["plate", "ring"]
    assert hangs_on(rig(), "device") == "ring"


def test_what_is_clipped_to_nothing_hangs_on_itself() -> None:
    assert [hangs_on(rig(), part) for part in ("grab", "ring", "weight")] == ["grab", "ring", "weight"]
    assert hangs_on(rig(), "pulley") == "grab"


def test_what_is_clipped_to_a_part_is_found_at_any_remove() -> None:
    assert clipped_on(rig(), "ring") == ["plate", "device"]
    assert clipped_on(rig(), "grab") == ["pulley"]
    assert clipped_on(rig(), "weight") == []
