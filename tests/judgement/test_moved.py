"""The figures of a rig in motion and their doubt, with closed forms."""

import math

import numpy as np
import pytest

from ropewright.judgement.figures import Figures
from ropewright.judgement.moved import CannotMove, Moved, move_rig, spread
from ropewright.mechanics import GRAVITY
from ropewright.rig import Rig

from .small import CATALOGUE, rig

THREE = """
rig: 3:1
points:
  beam: {kind: anchor, at: [0, 12]}
loads:
  weight: {kind: object, mass: MASS, at: [0, 1]}
crews:
  haulers: {at: [0, 13], people: 3}
gear:
  device:    {is: lower-raise-device, at: beam}
  grab:      {is: cam-grab, at: [0, 6]}
  traveller: {is: pulley-single, at: grab}
ropes:
  main:
    is: rope-12.5-low-stretch
    run: [tie weight, grip grab, through device, through traveller, hand haulers]
haul: {load: weight, up: 2}
"""
WEIGHTLESS = """
assume:
  cam-grab: {mass: 0}
  pulley-single: {mass: 0, efficiency: PULLEY}
  lower-raise-device: {mass: 0, efficiency: DEVICE}
  carabiner-locking: {mass: 0}
"""


def three(mass: str = "100", pulley: str = "0.9", device: str = "0.8", text: str = THREE) -> Rig:
    return rig(text.replace("MASS", mass), WEIGHTLESS.replace("PULLEY", pulley).replace("DEVICE", device))


def hauled(one: Rig, samples: int = 2000, load: str = "weight", direction: int = 1) -> Moved:
    found = move_rig(one, CATALOGUE, Figures(one, CATALOGUE), direction, load, 2.0, samples)
    assert isinstance(found, Moved)
    return found


def test_single_figures_give_single_answers() -> None:
    found = hauled(three())
    ratio = 1 + 0.9 + 0.9 * 0.8
    assert found.ideal == pytest.approx(3.0, rel=1e-6)
    for value in (found.actual.low, found.actual.likely, found.actual.high):
        assert value == pytest.approx(ratio, rel=1e-5)
    assert found.hand_force.likely == pytest.approx(100 * GRAVITY / ratio, rel=1e-6)
    assert found.rope_per_metre == pytest.approx(3.0, rel=1e-6)
    assert found.weight == pytest.approx(100 * GRAVITY)
    assert found.matters == ()
    assert found.unsolved_samples == 0


def test_the_ideal_figure_counts_no_gear_however_heavy_it_is() -> None:
    heavy = THREE.replace("is: pulley-single", "is: pulley-double")
    one = rig(heavy.replace("MASS", "100"), "assume: {pulley-double: {mass: 8, efficiency: 1}}\n")
    found = hauled(one, 50)
    assert found.ideal == pytest.approx(3.0, rel=1e-5)
    assert found.motion.system.mass[found.assembly.node["grab"]] > 8
    assert found.weight == pytest.approx(100 * GRAVITY)  # gear is not what is lifted


def test_the_mass_of_the_load_comes_out_as_its_percentiles() -> None:
    found = hauled(three(mass="80..120"), 20_000)
    ratio = 1 + 0.9 + 0.9 * 0.8
    # triangular, the mode in the middle: the 5th percentile is half the width times √0.1 above the low end
    low, high = 80 + 20 * math.sqrt(0.1), 120 - 20 * math.sqrt(0.1)
    assert found.hand_force.low == pytest.approx(low * GRAVITY / ratio, rel=2e-3)
    assert found.hand_force.high == pytest.approx(high * GRAVITY / ratio, rel=2e-3)
    assert found.hand_force.likely == pytest.approx(100 * GRAVITY / ratio, rel=1e-5)
    assert found.actual.low == pytest.approx(
        found.actual.high, rel=1e-5
    )  # a heavier load, the same advantage
    assert [name for name, _ in found.matters] == ["mass of weight"]
    assert found.matters[0][1] == pytest.approx(1.0, abs=0.02)


def test_the_range_that_matters_most_comes_first() -> None:
    found = hauled(three(pulley="0.75..0.95", device="0.85..0.86"), 4000)
    assert found.matters[0][0] == "efficiency of pulley-single"
    assert found.matters[0][1] > 0.9
    assert found.actual.low < found.actual.likely < found.actual.high
    lowest, highest = (1 + p + p * d for p, d in ((0.75, 0.85), (0.95, 0.86)))
    assert lowest < found.actual.low
    assert found.actual.high < highest


def test_the_same_seed_gives_the_same_answer() -> None:
    one = three(pulley="0.75..0.95")
    assert hauled(one, 300).hand_force == hauled(one, 300).hand_force


def test_percentiles_never_leave_the_central_answer_outside() -> None:
    got = spread(np.linspace(0.0, 1.0, 101), 0.5)
    assert (got.low, got.likely, got.high) == pytest.approx((0.05, 0.5, 0.95))
    assert spread(np.linspace(0.0, 1.0, 101), 1.2).high == 1.2
    assert spread(np.linspace(0.0, 1.0, 101), -0.2).low == -0.2
    assert spread(np.full(5, 3.0), 3.0) == type(got)(3.0, 3.0, 3.0)


LITTER = """
rig: Litter with attendant
points:
  beam: {kind: anchor, at: [0, 12]}
loads:
  litter:    {kind: litter, mass: 110, at: [0, 2]}
  attendant: {kind: person, mass: 90, at: [0, 1]}
crews:
  haulers: {at: [0, 13], people: 3}
gear:
  wheel: {is: pulley-single, at: litter}
ropes:
  main: {is: rope-12.5-low-stretch, run: [tie beam, through wheel, hand haulers]}
  hang: {is: rope-12.5-low-stretch, run: [tie litter, tie attendant]}
haul: {load: litter, up: 2}
"""


def test_an_attendant_who_hangs_on_the_litter_is_lifted_with_it() -> None:
    one = rig(LITTER, WEIGHTLESS.replace("PULLEY", "0.9").replace("DEVICE", "0.8"))
    found = hauled(one, 50, "litter")
    assert found.weight == pytest.approx(200 * GRAVITY)
    assert found.ideal == pytest.approx(2.0, rel=1e-4)
    assert found.hand_force.likely == pytest.approx(200 * GRAVITY / 1.9, rel=1e-3)
    assert found.actual.likely == pytest.approx(1.9, rel=1e-3)


def test_what_cannot_move_says_so_with_its_line() -> None:
    text = THREE.replace("grip grab", "grip grab reversed")
    one = three(text=text)
    found = move_rig(one, CATALOGUE, Figures(one, CATALOGUE), 1, "weight", 2.0, 10)
    assert isinstance(found, CannotMove)
    assert (found.kind, found.at) == ("loose", "grab")
    assert found.line > 0
    assert (found.direction, found.load) == (1, "weight")
    tailed = three(text=THREE.replace("hand haulers", "tail"))
    gone = move_rig(tailed, CATALOGUE, Figures(tailed, CATALOGUE), 1, "weight", 2.0, 10)
    assert isinstance(gone, CannotMove)
    assert gone.kind == "no-hand"


def zigzag(turns: int) -> str:
    """A weight on a rope that turns half around a carabiner so many times on its way to the crew."""
    places = "".join(
        f"  b{k}: {{kind: anchor, at: [{k % 2}, {40 - k % 2 * 30}], strength: 36 kN}}\n" for k in range(turns)
    )
    gear = "".join(f"  turn{k}: {{is: carabiner-locking, at: b{k}}}\n" for k in range(turns))
    run = ", ".join(f"through turn{k}" for k in range(turns))
    return (
        f"rig: A zigzag\npoints:\n{places}loads:\n  w: {{kind: object, mass: 100, at: [0, 1]}}\n"
        f"crews:\n  crew: {{at: [2, 40], people: 3}}\ngear:\n{gear}ropes:\n"
        f"  r: {{is: rope-12.5-low-stretch, run: [tie w with figure-eight-bight, {run}, hand crew]}}\n"
        "haul: {load: w, up: 3}\n"
    )


def test_a_pull_beyond_what_anything_bears_is_no_figure() -> None:
    long = rig(zigzag(24), "")
    stuck = move_rig(long, CATALOGUE, Figures(long, CATALOGUE), 1, "w", 3.0, 8)
    assert isinstance(stuck, CannotMove)
    assert (stuck.kind, stuck.at) == ("friction", "crew")
    assert "more at crew than anything in the rig bears, which is 40.0 kN (8990 lbf) at most" in stuck.text
    short = rig(zigzag(4), "")
    assert isinstance(move_rig(short, CATALOGUE, Figures(short, CATALOGUE), 1, "w", 3.0, 8), Moved)
