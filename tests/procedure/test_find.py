"""The way from one rig to another: what the search finds, and that the prover agrees."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.procedure import prove, read_procedure
from ropewright.procedure.find import Found, find, pair
from ropewright.procedure.goal import differences
from ropewright.procedure.lacking import lacking
from ropewright.procedure.world import World, beginning
from ropewright.procedure.writer import write_procedure
from ropewright.rig import Rig, read_rig

CATALOGUE = load_catalogue()
FOLDER = Path(__file__).parents[2] / "examples" / "procedures"


def rig(name: str) -> Rig:
    return read_rig(FOLDER / f"{name}.rig.yaml", CATALOGUE)


@pytest.fixture(scope="module")
def stripped() -> Found:
    start, goal = rig("self-haul-on-tower"), rig("self-haul-stripped")
    return find(pair(start, goal), goal, CATALOGUE)


def order(found: Found) -> list[str]:
    assert found.procedure is not None
    return [step.text for step in found.procedure.steps]


def test_from_a_self_haul_to_the_device_alone_is_what_an_instructor_would_teach(stripped: Found) -> None:
    """Locked off and tested before anything comes off; pulleys out, the grab last; a hand on before the lock
    is undone.
    """
    said = order(stripped)
    off = [k for k, text in enumerate(said) if text.startswith("take ")]
    assert said.index("lock off device") < said.index("inch-test device") < min(off)
    assert said[max(off)] == "take handled off main"
    assert {text for text in said if " out of " in text} == {
        "take main out of twin.1",
        "take main out of twin.2",
        "take main out of below",
    }
    assert max(off) < said.index("hand on main") < said.index("undo the lock-off of device")
    assert said.index("lock off device") < said.index("hand off main")


def test_the_way_is_proved_by_the_prover_alone(stripped: Found) -> None:
    assert stripped.procedure is not None
    proof = prove(stripped.procedure, CATALOGUE)
    assert proof.proved
    assert all(p.verdict == "ok" for p in proof.steps)
    assert differences(proof.end, rig("self-haul-stripped")) == []


def test_what_was_refused_on_the_way_is_told_with_its_reason(stripped: Found) -> None:
    because = {r.step.text: r.because for r in stripped.rejected}
    assert "neither locked off nor in anybody's hand" in because["hand off main"]
    assert any("was not tested" in text for text in because.values())


def test_the_way_can_be_written_and_read_back(stripped: Found, tmp_path: Path) -> None:
    assert stripped.procedure is not None
    path = tmp_path / "way.procedure.yaml"
    path.write_text(write_procedure(stripped.procedure, str(FOLDER / "self-haul-on-tower.rig.yaml")))
    again = read_procedure(path, CATALOGUE)
    assert [(s.doer, s.text) for s in again.steps] == [(s.doer, s.text) for s in stripped.procedure.steps]
    assert prove(again, CATALOGUE).proved


def test_figures_that_only_the_goal_states_are_written_too(tmp_path: Path) -> None:
    start, goal = rig("lane-on-clamps"), rig("lane-on-descender")
    assert "descender" in goal.assume
    assert "descender" not in start.assume
    found = find(pair(start, goal), goal, CATALOGUE)
    assert found.procedure is not None
    text = write_procedure(found.procedure, "lane-on-clamps.rig.yaml", start, CATALOGUE)
    again = read_procedure(text, CATALOGUE, lambda _name: start)
    assert again.rig.assume["descender"] == goal.assume["descender"]
    assert prove(again, CATALOGUE).proved


def test_a_rig_that_is_there_already_takes_no_step() -> None:
    start = rig("lane-on-clamps")
    found = find(pair(start, start), start, CATALOGUE)
    assert found.procedure is not None
    assert found.procedure.steps == ()


def test_without_a_second_line_there_is_no_way_and_a_second_line_is_what_is_missing() -> None:
    def bare(one: Rig) -> Rig:
        return replace(
            one,
            gear={n: g for n, g in one.gear.items() if n != "backup"},
            ropes={n: r for n, r in one.ropes.items() if n != "second"},
        )

    start, goal = bare(rig("self-haul-on-tower")), bare(rig("self-haul-stripped"))
    found = find(pair(start, goal), goal, CATALOGUE, seconds=20)
    assert found.procedure is None
    assert found.left
    helps, tried = lacking(start, goal, CATALOGUE, seconds=30)
    assert [x.what for x in helps] == ["a second line for climber"]
    assert len(tried) > 1


def test_an_endless_search_is_bounded_and_tells_how_far_it_came() -> None:
    start, goal = rig("lane-on-clamps"), rig("self-haul-stripped")
    found = find(pair(start, goal), goal, CATALOGUE, seconds=1.0)
    assert found.procedure is None
    assert found.seconds < 5
    assert found.left


def test_differences_count_what_is_left_to_do() -> None:
    start, goal = rig("self-haul-on-tower"), rig("self-haul-stripped")
    world = World(pair(start, goal), CATALOGUE)
    left = differences(beginning(world), goal)
    assert {(d.kind, d.name) for d in left} == {
        ("take out", "handled"),
        ("take out", "twin"),
        ("take out", "below"),
        ("unclip", "twin"),
        ("unclip", "below"),
    }
    assert differences(beginning(world), start) == []


def test_from_lowering_to_raising_on_one_device() -> None:
    """The device locked off before the hand leaves, the haul built, a hand on before the lock is undone."""
    start, goal = rig("device-lower"), rig("device-raise")
    found = find(pair(start, goal), goal, CATALOGUE)
    said = order(found)
    assert said.index("lock off main-device") < said.index("hand off main") < said.index("hand on main")
    assert said[-1] == "undo the lock-off of main-device"
    assert {"put haulgrab on main below main-device", "reeve main through travel"} < set(said)
