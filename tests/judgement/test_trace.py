from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import pytest

from ropewright.judgement.trace import Trace, render, trace
from ropewright.mechanics.model import System
from ropewright.mechanics.motion import move
from ropewright.mechanics.variants import pulled_from_ground
from tests.mechanics import builders, haul_rigs


def board(system: System, direction: int = 1) -> Trace:
    return trace(move(system, direction))


def texts(system: System) -> list[str]:
    return [step.text for step in board(system).steps]


def test_three_to_one_is_written_from_the_hand_to_the_load() -> None:
    assert texts(builders.three_to_one(0.9)) == [
        "the hand at crew pulls 1 T",
        "through grab: 1 T in, 1 T out, so 2 T on grab",
        "device at anchor: 1 T in, 1 T out, so 2 T on anchor, which stays",
        "grip grab: 1 T + 2 T = 3 T below it, on the strand to load",
        "load: 3 T lift it",
        "anchor takes 2 T",
        "so 1 T of pull moves 3 T of load: counted 3:1 (ideal 3.00, with friction 2.71)",
    ]


def test_nine_to_one_goes_stage_by_stage() -> None:
    said = texts(builders.nine_to_one(0.9))
    assert said[1:8] == [
        "through second: 1 T in, 1 T out, so 2 T on second",
        "through high: 1 T in, 1 T out, so 2 T on high, which stays",
        "grip second: 1 T + 2 T = 3 T below it, on the strand to first",
        "through first: 3 T in, 3 T out, so 6 T on first",
        "device at anchor: 3 T in, 3 T out, so 6 T on anchor, which stays",
        "grip first: 3 T + 6 T = 9 T below it, on the strand to load",
        "load: 9 T lift it",
    ]
    assert said[-1].endswith("counted 9:1 (ideal 9.00, with friction 7.34)")


def test_complex_five_sums_each_grab_with_the_strands_that_pull_it() -> None:
    said = texts(haul_rigs.complex_five())
    assert said[1:7] == [
        "through high: 1 T in, 1 T out, so 2 T on high",
        "through low: 1 T in, 1 T out, so 2 T on low",
        "grip high: 1 T + 2 T = 3 T above it, on the strand to anchor",
        "device at anchor: 3 T in, 3 T out, so 6 T on anchor, which stays",
        "grip low: 3 T + 2 T = 5 T below it, on the strand to load",
        "load: 5 T lift it",
    ]


def test_self_haul_says_that_the_climber_hangs_on_his_own_hands() -> None:
    said = texts(builders.self_haul(0.9))
    assert "climber: 2 T + 1 T = 3 T lift it" in said
    assert "grip handled: 1 T + 2 T = 3 T above it, on the strand to beam" in said
    assert said[-1] == (
        "1 T of it is the strand in climber's own hands, which carries climber too: "
        "pulled from the ground the same reeving counts 2:1"
    )


@pytest.mark.parametrize("build", [builders.self_haul, haul_rigs.double_self_haul])
def test_what_is_said_of_the_ground_is_what_is_counted_there(build: object) -> None:
    system = builders.self_haul() if build is builders.self_haul else haul_rigs.double_self_haul()
    below = pulled_from_ground(system)
    assert below is not None
    assert board(system).steps[-1].text.endswith(f"counts {board(below).counted.label}")
    assert not any("own hands" in step.text for step in board(below).steps)


def test_a_rope_made_fast_to_a_travelling_sheave_is_pulled_by_both_its_strands() -> None:
    assert "tie second: 2 T on the strand to load" not in texts(haul_rigs.four_to_one())
    assert "tie second: 2 T below it, on the strand to load" in texts(haul_rigs.four_to_one())


def test_forces_with_friction_stand_beside_the_counted_tensions() -> None:
    e, weight = 0.9, 95 * 9.80665
    steps = board(builders.self_haul(e)).steps
    hand = weight / (1 + e + e * e)
    assert steps[0].forces[0].newtons == pytest.approx(hand, rel=1e-3)
    into, out, on = (f.newtons for f in steps[1].forces)
    assert (into, out, on) == pytest.approx((hand, e * hand, (1 + e) * hand), rel=1e-3)
    assert steps[1].forces[2].what == "on handled"
    assert next(s for s in steps if s.kind == "load").forces[0].newtons == pytest.approx(weight, rel=1e-3)


def test_the_load_line_agrees_with_the_count_on_every_textbook_reeving() -> None:
    for build in (haul_rigs.one_to_one, haul_rigs.two_to_one, haul_rigs.six_to_one, haul_rigs.complex_seven):
        written = board(build())
        load = next(s for s in written.steps if s.kind == "load")
        assert load.units == written.counted.ratio
        assert written.ideal == pytest.approx(float(written.counted.ratio or 0), rel=1e-6)


def test_every_rope_of_a_counted_system_is_reached() -> None:
    written = board(haul_rigs.complex_seven())
    told = {s.strand for s in written.steps if s.strand >= 0}
    member = move(haul_rigs.complex_seven(), 1).blocks.member
    assert {int(member[k]) for k in told} == set(np.unique(member).tolist())


def test_spread_anchor_pull_is_also_given_as_the_ropes_lie() -> None:
    said = texts(haul_rigs.turned_three_to_one(crew_at=(5, 10)))
    assert "through turn: 1 T in, 1 T out, led round a corner" in said
    assert "turn takes 2 T were its ropes parallel, 1.41 T as they lie" in said


def test_no_count_keeps_the_hands_and_says_why() -> None:
    written = board(haul_rigs.uneven_crews())
    assert [s.kind for s in written.steps] == ["hand", "hand", "result"]
    assert written.steps[-1].text.startswith("no count: several hands that do not pull alike")
    assert written.steps[-1].units is None
    assert written.classified is None


def test_lowering_is_held_not_pulled() -> None:
    said = [s.text for s in board(builders.pulled_from_ground(), -1).steps]
    assert said[0] == "the hand at ground holds 1 T"
    assert said[-1].startswith("so without friction 1 T at the hand holds ")
    assert re.search(r"; friction helps, with it 1 T at the hand holds \d+\.\d\d T\)$", said[-1])


@dataclass(frozen=True)
class TernNames:
    """Names as a rig file would give them."""

    def node(self, node: int) -> str:
        return ("top beam", "rescuer", "handled clamp")[node]

    def contact(self, contact: int) -> str:
        return ("tie top beam", "grip clamp", "through device", "through twin.1", "hand rescuer")[contact]


def test_names_from_outside_are_used_everywhere() -> None:
    written = trace(move(builders.self_haul(0.9), 1), TernNames())
    lines = render(written)
    assert lines[0] == " 1. the hand at rescuer pulls 1 T"
    assert lines[2] == " 2. through twin.1: 1 T in, 1 T out, so 2 T on handled clamp, which stays"
    assert lines[-1] == "    simple: the sheave at rescuer rides on the load itself"
    assert not any("climber" in line for line in lines)


def test_render_prints_forces_in_the_units_asked_for() -> None:
    written = board(builders.self_haul(0.9))
    assert render(written)[1] == "      with friction: 0.34 kN (77 lbf)"
    assert render(written, "metric")[1] == "      with friction: 0.34 kN"
    assert render(written, "us")[1] == "      with friction: 77 lbf"


def test_two_crews_are_both_on_the_board() -> None:
    written = board(haul_rigs.two_crews())
    assert "load: 3 T + 3 T = 6 T lift it" in [s.text for s in written.steps]
    assert written.counted.ratio == Fraction(6)
    assert render(written)[-1].strip() == written.counted.notes[0]
