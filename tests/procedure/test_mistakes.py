"""What mistakes lead to, which steps are critical for them, where a check is missing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.procedure import Procedure
from ropewright.procedure.forms import read_step
from ropewright.procedure.mistakes import Mistake, Mistakes, mistakes

from .shipped import NAMES_OF_ALL, shipped, worked_out

CATALOGUE = load_catalogue()


def found(name: str) -> Mistakes:
    return worked_out(name)[1]


def the(all_of_them: Mistakes, kind: str, words: str) -> Mistake:
    (one,) = [m for m in all_of_them.all if m.kind == kind and words in m.what]
    return one


def with_steps(procedure: Procedure, *lines: tuple[str, str]) -> Procedure:
    steps = tuple(read_step(doer, text, line=k) for k, (doer, text) in enumerate(lines, 1))
    return replace(procedure, steps=steps)


def test_a_device_the_wrong_way_round_leaves_one_chain_and_the_check_finds_it() -> None:
    one = the(found("ascent-to-descent"), "wrong way round", "descender")
    assert one.consequence == "outside policy"
    assert one.chains == 1
    steps = shipped("ascent-to-descent").steps
    assert one.at is not None
    assert steps[one.at - 1].text == "take chest off"
    assert one.caught_by is not None
    assert steps[one.caught_by - 1].text == "check descender"


def test_a_gate_left_unlocked_counts_as_no_connection() -> None:
    one = the(found("ascent-to-descent"), "gate left unlocked", "descender")
    assert one.consequence == "outside policy"
    assert "the gate of descender is not locked" in one.text
    assert one.caught_by is not None


def test_without_a_hand_on_the_rope_opening_the_device_drops_the_student() -> None:
    one = the(found("ascent-to-descent"), "left out", "hand on working")
    assert one.consequence == "falls"
    assert one.drop == pytest.approx(0.33, abs=0.1)
    assert "onto backup" in one.text
    assert one.caught_by is None


def test_what_can_t_be_done_is_stuck_and_goes_no_further() -> None:
    one = the(found("ascent-to-descent"), "left out", "stand in foot")
    assert one.consequence == "stuck"
    assert "can't be taken off" in one.text


def test_a_call_left_out_changes_nothing() -> None:
    one = the(found("ascent-to-descent"), "left out", "call change-over")
    assert (one.consequence, one.at) == ("nothing", None)


def test_critical_steps_are_those_with_a_grave_mistake() -> None:
    for name in NAMES_OF_ALL:
        result = found(name)
        grave = {n for m in result.all if m.grave for n in (m.n, m.at)}
        assert set(result.critical) == grave | {m.n for m in result.all if m.omits_test}, name


def test_an_inch_test_without_which_the_last_thing_that_holds_is_not_tested_is_critical() -> None:
    result = found("self-haul-to-descent")
    one = the(result, "left out", "inch-test device")
    assert (one.consequence, one.n) == ("caution", 4)
    assert result.critical[4] == "left out: twin comes off main, and device was not tested since"


def test_what_is_untested_however_the_steps_are_done_makes_no_step_critical() -> None:
    procedure = shipped("self-haul-to-descent")
    steps = tuple(step for step in procedure.steps if step.verb != "inch-test")
    assert len(steps) == len(procedure.steps) - 1
    result = mistakes(replace(procedure, steps=steps), CATALOGUE)
    assert result.proof.cautions == 4
    assert not any(m.omits_test for m in result.all)


def test_a_policy_that_asks_for_no_test_makes_none_critical() -> None:
    procedure = shipped("self-haul-to-descent")
    rig = replace(procedure.rig, policy={**procedure.rig.policy, "test-before-last": False})
    result = mistakes(replace(procedure, rig=rig), CATALOGUE)
    assert the(result, "left out", "inch-test device").consequence == "nothing"
    assert 4 not in result.critical


def test_a_missing_check_is_proposed_only_where_it_would_have_found_the_mistake() -> None:
    """Put in where it is proposed, the check catches that very mistake."""
    procedure = shipped("ascent-to-descent")
    lines = [(s.doer, s.text) for s in procedure.steps if not s.is_check]
    bare = mistakes(with_steps(procedure, *lines), CATALOGUE)
    looks = [c for c in bare.missing if c.proposed.startswith("check ")]
    assert looks
    for check in looks:
        mended = [*lines[: check.before - 1], (check.doer, check.proposed), *lines[check.before - 1 :]]
        again = mistakes(with_steps(procedure, *mended), CATALOGUE)
        one = next(m for m in again.all if m.what == check.mistake.what and m.kind == check.mistake.kind)
        assert one.caught_by is not None


def test_a_hold_point_by_somebody_else_answers_a_step_done_too_early() -> None:
    procedure = shipped("ascent-to-descent")
    lines = [(s.doer, s.text) for s in procedure.steps]
    at = next(k for k, (_, text) in enumerate(lines) if text.startswith("undo the lock-off"))
    before = mistakes(procedure, CATALOGUE)
    assert any(c.proposed == "call go" and c.before == at + 1 for c in before.missing)
    held = [*lines[:at], ("instructor", "call go"), *lines[at:]]
    after = mistakes(with_steps(procedure, *held), CATALOGUE)
    assert not any(c.mistake.what.startswith("undo the lock-off") for c in after.missing)


def test_every_mistake_is_made_once_and_every_kind_occurs() -> None:
    every = [m for name in NAMES_OF_ALL for m in found(name).all]
    assert {m.kind for m in every} == {
        "left out",
        "swapped",
        "wrong way round",
        "gate left unlocked",
        "hand off early",
        "wrong one",
    }
    for name in NAMES_OF_ALL:
        said = [(m.kind, m.n, m.what) for m in found(name).all]
        assert len(said) == len(set(said)), name
        assert sum(m.kind == "left out" for m in found(name).all) == len(shipped(name).steps)


def test_progress_is_told_to_its_end() -> None:
    told: list[tuple[int, int]] = []
    mistakes(shipped("lock-off-and-undo"), CATALOGUE, progress=lambda done, of: told.append((done, of)))
    assert told[-1][0] == told[-1][1] == len(told)
