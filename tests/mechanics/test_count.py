from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from ropewright.mechanics.count import Count, count
from ropewright.mechanics.exact import solve_exactly
from ropewright.mechanics.model import System
from ropewright.mechanics.motion import move
from ropewright.mechanics.stages import classify
from ropewright.mechanics.variants import pulled_by_load, pulled_from_ground
from tests.mechanics import builders, haul_rigs
from tests.mechanics.builders import Rig


def counted(system: System, direction: int = 1) -> Count:
    return count(move(system, direction))


def present(system: System | None) -> System:
    assert system is not None
    return system


TEXTBOOK: list[tuple[Callable[[], System], int, str]] = [
    (haul_rigs.one_to_one, 1, "simple"),
    (haul_rigs.two_to_one, 2, "simple"),
    (builders.three_to_one, 3, "simple"),
    (haul_rigs.four_to_one, 4, "compound"),
    (haul_rigs.five_to_one, 5, "simple"),
    (haul_rigs.six_to_one, 6, "compound"),
    (builders.nine_to_one, 9, "compound"),
    (haul_rigs.complex_five, 5, "complex"),
    (haul_rigs.complex_seven, 7, "complex"),
    (builders.self_haul, 3, "simple"),
    (haul_rigs.double_self_haul, 5, "simple"),
]


@pytest.mark.parametrize(("build", "ratio", "kind"), TEXTBOOK)
def test_textbook_reeving_has_its_count_and_class(build: Callable[[], System], ratio: int, kind: str) -> None:
    motion = move(build(), 1)
    result = count(motion)
    assert (result.label, result.why) == (f"{ratio}:1", "")
    word = classify(motion, result)
    assert word is not None
    assert word.kind == kind


@pytest.mark.parametrize("build", [build for build, _, _ in TEXTBOOK])
def test_count_is_the_frictionless_ratio_and_the_travel_where_all_ropes_are_parallel(
    build: Callable[[], System],
) -> None:
    motion = move(build(), 1)
    ratio = count(motion).ratio
    assert ratio is not None
    weight = motion.system.weight[motion.system.load]
    assert weight / motion.frictionless.hand[0] == pytest.approx(float(ratio), rel=1e-6)
    assert motion.hand_travel == pytest.approx(float(ratio), rel=1e-6)


@pytest.mark.parametrize(
    ("build", "climber", "ground"),
    [(builders.self_haul, "3:1", "2:1"), (haul_rigs.double_self_haul, "5:1", "4:1")],
)
def test_hauling_oneself_counts_one_more_than_the_same_reeving_pulled_from_the_ground(
    build: Callable[[], System], climber: str, ground: str
) -> None:
    own = build()
    below = present(pulled_from_ground(own))
    assert (counted(own).label, counted(below).label) == (climber, ground)
    back = present(pulled_by_load(below))
    assert counted(back).label == climber


def test_the_ground_stands_straight_below_the_last_contact_and_takes_the_hand() -> None:
    own = haul_rigs.double_self_haul()
    below = present(pulled_from_ground(own))
    assert below.names == (*own.names, "ground")
    assert below.fixed[-1]
    last = below.ropes[0].contacts[-2].node
    assert below.position[-1, :2] == pytest.approx(below.position[last, :2])
    assert below.position[-1, 2] < own.position[:, 2].min()
    drawn = np.linalg.norm(below.position[-1] - below.position[last])
    assert below.ropes[0].laid[-1] == pytest.approx(float(drawn))


def test_variants_are_none_where_they_make_no_sense() -> None:
    assert pulled_from_ground(builders.three_to_one()) is None
    assert pulled_by_load(builders.self_haul()) is None
    assert pulled_by_load(haul_rigs.two_crews()) is None


@pytest.mark.parametrize("crew_at", [(0.0, -2.0), (6.0, 10.0), (5.0, 3.0), (0.0, 12.0)])
def test_a_redirect_at_the_anchor_changes_nothing(crew_at: tuple[float, float]) -> None:
    assert counted(haul_rigs.turned_three_to_one(crew_at=crew_at)).label == "3:1"


def test_ropes_sixty_degrees_apart_count_as_parallel() -> None:
    motion = move(haul_rigs.spread_two_to_one(), 1)
    assert count(motion).label == "2:1"
    ideal = motion.system.weight[motion.system.load] / motion.frictionless.hand[0]
    assert ideal == pytest.approx(3**0.5, rel=1e-3)


def test_lowering_counts_like_hauling() -> None:
    assert counted(builders.pulled_from_ground(), -1).ratio == counted(builders.pulled_from_ground()).ratio


def test_units_and_sums_follow_the_tension_method() -> None:
    result = counted(builders.nine_to_one())
    assert [str(u) for u in result.units] == ["9", "3", "3", "3", "1", "1", "1"]
    names = builders.nine_to_one().names
    text = {names[s.node]: s.text for s in result.sums}
    assert text["load"] == "9 with, 0 against"
    assert text["first"] == "9 with, 9 against"
    assert text["second"] == "3 with, 3 against"
    anchor = result.sum_at(names.index("anchor"))
    assert anchor is not None
    assert anchor.net == 6


def test_a_grab_that_stands_still_hands_its_units_on_to_the_beam() -> None:
    system = builders.self_haul()
    beam = counted(system).sum_at(system.names.index("beam"))
    assert beam is not None
    assert beam.kind == "fixed"
    assert beam.net == 3


def test_a_slack_second_line_does_not_count() -> None:
    r = Rig()
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=100)
    grab = r.point("grab", 0, 5)
    crew = r.point("crew", 0, 11, fixed=True)
    other = r.point("other", 1, 10, fixed=True)
    r.rope(r.tie(load), r.grab(grab), r.device(anchor), r.through(grab), r.hand(crew))
    r.rope(r.tie(load), r.tie(other), slack=(1.0,))
    result = counted(r.build("load"))
    assert result.label == "3:1"
    assert result.units[-1] == 0


def test_two_crews_that_pull_alike_have_a_count_for_one_and_for_all() -> None:
    result = counted(haul_rigs.two_crews())
    assert (result.label, result.hands) == ("6:1", 2)
    assert result.notes == ("2 hands pull alike, each counted as 1 T; over all of them 3:1",)


def test_crews_that_do_not_pull_alike_have_no_count() -> None:
    motion = move(haul_rigs.uneven_crews(), 1)
    result = count(motion)
    assert (result.ratio, result.label) == (None, "no count")
    assert result.why == (
        "several hands that do not pull alike (crew 3:1, others 1:1): "
        "the count depends on how they share the load"
    )
    assert classify(motion, result) is None


def test_a_share_that_no_point_settles_is_undetermined() -> None:
    """A tether at right angles is left out; said to run along the motion, it may carry anything."""
    r = Rig()
    load = r.point("load", 0, 0, mass=100)
    anchor = r.point("anchor", -1, 10, fixed=True)
    side = r.point("side", 6, 0, fixed=True)
    crew = r.point("crew", 0, -2, fixed=True)
    r.rope(r.tie(load), r.through(anchor), r.hand(crew))
    r.rope(r.tie(side), r.tie(load))
    motion = move(r.build("load"), 1)
    assert count(motion).label == "1:1"
    slanting = motion.rates.velocity.copy()
    slanting[load] = (-0.5, 0.0, 1.0)
    result = count(replace(motion, rates=replace(motion.rates, velocity=slanting)))
    assert result.ratio is None
    assert result.why == (
        "undetermined: the strand from side to load carries a share that no moving point settles"
    )


def reason(system: System) -> str:
    motion = move(system, 1)
    word = classify(motion, count(motion))
    assert word is not None
    return word.text


def test_class_gives_its_reason() -> None:
    assert reason(haul_rigs.one_to_one()) == "simple: no sheave travels; fixed ones only turn the rope"
    assert reason(builders.three_to_one()) == "simple: the sheave at grab moves with the load at its speed"
    assert reason(haul_rigs.four_to_one()) == (
        "compound: the sheave at load rides on the load itself, "
        "the sheave at second moves with the load twice as fast; 2 × 2 = 4"
    )
    assert reason(haul_rigs.six_to_one()).endswith("three times as fast; 3 × 2 = 6")
    assert reason(builders.nine_to_one()) == (
        "compound: the sheave at first moves with the load at its speed, "
        "the sheave at second moves with the load three times as fast; 3 × 3 = 9"
    )
    assert reason(haul_rigs.complex_five()) == (
        "complex: the sheave at low moves with the load at its speed, "
        "the sheave at high moves against the load at its speed; "
        "one rope works on low and high at once, which move differently, so the stages do not multiply"
    )


def test_a_second_stage_turned_against_the_load_is_complex_though_it_multiplies() -> None:
    assert reason(haul_rigs.redirected_nine()).endswith(
        "against the load three times as fast; the stages still multiply, 3 × 3 = 9, so some call it compound"
    )


def test_a_haul_laid_out_on_the_ground_beyond_an_edge_still_travels_with_the_load() -> None:
    r = Rig()
    load = r.point("load", 0, 0, mass=100)
    lip = r.point("lip", 0, 10, fixed=True)
    grab = r.point("grab", 4, 10)
    anchor = r.point("anchor", 12, 10, fixed=True)
    crew = r.point("crew", 12, 10.5, fixed=True)
    r.rope(r.tie(load), r.edge(lip, 0.0), r.grab(grab), r.device(anchor), r.through(grab), r.hand(crew))
    motion = move(r.build("load"), 1)
    result = count(motion)
    assert result.label == "3:1"
    word = classify(motion, result)
    assert word is not None
    assert word.text == "simple: the sheave at grab moves with the load at its speed"


def stacked(ratios: list[int]) -> System:
    """Simple systems of the given ratios, each pulling the hand end of the one before; all ropes upright."""
    r = Rig()
    anchor = r.point("anchor", 0, 60, fixed=True)
    here = r.point("load", 0, 0, mass=100)
    for k, ratio in enumerate(ratios):
        last = k == len(ratios) - 1
        after = r.point("crew", 0, 62, fixed=True) if last else r.point(f"stage{k + 1}", 0, 8.0 * (k + 1))
        finish = r.hand(after) if last else r.tie(after)
        pairs = [c for _ in range(ratio // 2) for c in (r.through(anchor), r.through(here))]
        if ratio % 2:
            r.rope(r.tie(here), *pairs, finish)
        else:
            r.rope(r.tie(anchor), *pairs[1:], finish)
        here = after
    return r.build("load")


@pytest.mark.parametrize("seed", range(12))
def test_stacked_simple_systems_multiply(seed: int) -> None:
    rng = np.random.default_rng(seed)
    ratios = [int(n) for n in rng.integers(1, 6, size=rng.integers(1, 4))]
    motion = move(stacked(ratios), 1)
    result = count(motion)
    assert result.ratio == Fraction(int(np.prod(ratios)))
    ideal = motion.system.weight[motion.system.load] / motion.frictionless.hand[0]
    assert ideal == pytest.approx(float(np.prod(ratios)), rel=1e-6)
    word = classify(motion, result)
    assert word is not None
    stages = [n for n in ratios if n > 1]
    assert word.kind == ("simple" if len(stages) < 2 else "compound")
    if len(stages) > 1:
        assert word.text.endswith(f"; {' × '.join(map(str, stages))} = {np.prod(ratios)}")


def test_a_ratio_need_not_be_whole() -> None:
    """The climber pulls up a sheave over which his line runs to the ground: half of his pull, and the
    strand in his hands."""
    r = Rig()
    climber = r.point("climber", 0, 0, mass=95)
    sheave = r.point("sheave", 0, 8)
    top = r.point("top", 0, 20, fixed=True)
    low = r.point("low", 0, -5, fixed=True)
    r.rope(r.tie(sheave), r.through(top), r.hand(climber))
    r.rope(r.tie(low), r.through(sheave), r.tie(climber))
    own = r.build("climber")
    assert counted(own).label == "3:2"
    assert counted(present(pulled_from_ground(own))).label == "1:2"


def test_exact_solving_tells_open_unknowns_and_clashes() -> None:
    solved = solve_exactly([[1, 1, 0], [0, 0, 2]], [3, 1], 3)
    assert solved.values == (None, None, Fraction(1, 2))
    assert solved.clash == -1
    assert solve_exactly([[1, 2], [2, 4], [2, 4]], [1, 2, 3], 2).clash == 2
    full = solve_exactly([[0, 3], [7, 1]], [1, 1], 2)
    assert full.values == (Fraction(2, 21), Fraction(1, 3))
