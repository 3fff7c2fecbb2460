"""The pull for any mass: closed forms, one batch against each mass moved alone, what never goes down."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.catalogue import load_catalogue
from ropewright.effort import hand_forces, haulers, prepare
from ropewright.effort.crew import each_gives
from ropewright.mechanics import GRAVITY
from ropewright.quantity import Range
from ropewright.rig import TeamPolicy, read_rig
from tests.effort.rigs import prepared, self_haul, three_to_one

EXAMPLES = Path(__file__).parents[2] / "examples"
SOLVED = 1e-4  # share: ropes stretch a little, so angles and lengths are those of the closed form to this
KILOGRAM = Range.exactly


@pytest.mark.parametrize("efficiency", [1.0, 0.9, 0.5])
@pytest.mark.parametrize("build", [three_to_one, self_haul], ids=["crew", "climber"])
def test_one_and_two_sheaves_take_the_weight_over_the_sum_of_the_strands(
    build: object, efficiency: float
) -> None:
    assert callable(build)
    rig = prepared(build(efficiency=str(efficiency)))
    found = hand_forces(rig, rig.motions[0], [KILOGRAM(60.0), KILOGRAM(95.0), KILOGRAM(140.0)])
    for mass, force in found.items():
        assert force is not None
        strands = 1 + efficiency + efficiency**2
        assert force.likely == pytest.approx(mass.likely * GRAVITY / strands, rel=SOLVED)


def test_the_crew_sized_litter_takes_0_905_kn() -> None:
    rig = prepare(read_rig(EXAMPLES / "litter-roller-crew.rig.yaml"), load_catalogue())
    force = hand_forces(rig, rig.motions[0], [KILOGRAM(200.0)])[KILOGRAM(200.0)]
    assert force is not None
    assert force.is_single
    assert force.likely == pytest.approx(200 * GRAVITY * 1.25 / 2.71, rel=2e-4)  # 0.142 gives 1.2499
    assert haulers(force, 1, 222.0).likely == 5
    assert haulers(force, 1, 133.0).likely == 7


@pytest.mark.parametrize(
    "name", ["self-haul-double-and-single", "self-haul-one-sheave-crew", "tower-day-lane", "parapet-roller"]
)
def test_one_batch_agrees_with_each_mass_moved_alone(name: str) -> None:
    catalogue = load_catalogue()
    rig = read_rig(EXAMPLES / f"{name}.rig.yaml", catalogue)
    whole = prepare(rig, catalogue, 500)
    load = whole.motions[0].load
    own = rig.loads[load].mass
    found = hand_forces(whole, whole.motions[0], [KILOGRAM(55.0), own, KILOGRAM(150.0)])
    for mass, force in found.items():
        alone = replace(rig, loads={**rig.loads, load: replace(rig.loads[load], mass=mass)})
        said = prepare(alone, catalogue, 500).motions[0].hand_force
        assert force is not None
        assert force.likely == pytest.approx(said.likely, rel=1e-4)
        assert force.low == pytest.approx(said.low, rel=0.02)  # another sample may be the 5th percentile
        assert force.high == pytest.approx(said.high, rel=0.02)
    at_own = found[own]
    assert at_own is not None
    assert at_own.low == pytest.approx(whole.motions[0].hand_force.low, rel=5e-3)
    assert at_own.high == pytest.approx(whole.motions[0].hand_force.high, rel=5e-3)


def test_a_long_heavy_rope_counts_at_every_mass() -> None:
    text = (
        three_to_one().replace("at: [0, 12]", "at: [0, 45]").replace("rope-12.5-low-stretch: {mass: 0}", "")
    )
    rig = prepared(text.replace("at: [0, 5]", "at: [0, 40]").replace("at: [0, 30]", "at: [0, 60]"))
    assert rig.motions[0].hung is not None
    found = hand_forces(rig, rig.motions[0], [KILOGRAM(60.0), KILOGRAM(140.0)])
    for mass, force in found.items():
        alone = prepared(
            text.replace("at: [0, 5]", "at: [0, 40]")
            .replace("at: [0, 30]", "at: [0, 60]")
            .replace("mass: 100", f"mass: {mass.likely}")
        )
        assert force is not None
        assert force.likely == pytest.approx(alone.motions[0].hand_force.likely, rel=1e-3)
        assert force.likely > 1.01 * mass.likely * GRAVITY / 2.71


def test_a_mass_with_a_range_widens_the_pull() -> None:
    rig = prepared(three_to_one())
    wide = Range(80.0, 90.0, 100.0)
    force = hand_forces(rig, rig.motions[0], [wide])[wide]
    assert force is not None
    assert force.low == pytest.approx(80 * GRAVITY / 2.71, rel=SOLVED)
    assert force.high == pytest.approx(100 * GRAVITY / 2.71, rel=SOLVED)


def test_nobody_asked_about_takes_no_solving() -> None:
    rig = prepared(three_to_one())
    assert hand_forces(rig, rig.motions[0], []) == {}


@settings(max_examples=25, deadline=None)
@given(masses=st.lists(st.floats(30.0, 280.0), min_size=2, max_size=6), each=st.floats(50.0, 400.0))
def test_a_heavier_load_never_needs_fewer_haulers(masses: list[float], each: float) -> None:
    rig = prepared(three_to_one(efficiency="0.80..0.90..0.95"), samples=50)
    found = hand_forces(rig, rig.motions[0], [KILOGRAM(m) for m in masses])
    before = 0
    for mass in sorted(masses):
        force = found[KILOGRAM(mass)]
        assert force is not None
        needed = haulers(force, 1, each)
        assert needed.low <= needed.likely <= needed.high
        assert needed.likely >= before
        before = needed.likely


@settings(max_examples=25, deadline=None)
@given(efficiencies=st.lists(st.floats(0.4, 1.0), min_size=2, max_size=4), each=st.floats(50.0, 400.0))
def test_more_friction_never_needs_fewer_haulers(efficiencies: list[float], each: float) -> None:
    before = 0
    for efficiency in sorted(efficiencies, reverse=True):
        rig = prepared(three_to_one(efficiency=repr(efficiency)), samples=2)
        force = hand_forces(rig, rig.motions[0], [KILOGRAM(150.0)])[KILOGRAM(150.0)]
        assert force is not None
        needed = haulers(force, 1, each * (1 + 1e-6)).likely
        assert needed >= before
        before = needed


def test_where_a_mass_changes_what_holds_each_is_moved_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = prepared(three_to_one(efficiency="0.80..0.90..0.95"))
    at_once = hand_forces(rig, rig.motions[0], [KILOGRAM(60.0), KILOGRAM(140.0)])
    monkeypatch.setattr("ropewright.effort.pulls._stance_at", lambda *_: None)
    alone = hand_forces(rig, rig.motions[0], [KILOGRAM(60.0), KILOGRAM(140.0)])
    for mass, force in at_once.items():
        other = alone[mass]
        assert force is not None
        assert other is not None
        assert other.likely == pytest.approx(force.likely, rel=1e-6)
        assert other.high == pytest.approx(force.high, rel=0.02)


def test_a_hauler_pulls_what_the_teams_policy_says_unless_the_file_says_otherwise() -> None:
    team = TeamPolicy("Tern Harbor policy, version 2", {"hauler-pull": (180.0, "pull test of the team")})
    rig = read_rig(three_to_one(), load_catalogue())
    assert each_gives(prepare(replace(rig, team=team), load_catalogue()))[1] == 180.0
    own = replace(rig, team=team, policy={"hauler-pull": 200.0})
    assert each_gives(prepare(own, load_catalogue()))[1] == 200.0
