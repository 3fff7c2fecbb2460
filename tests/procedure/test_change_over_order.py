"""From going up to going down: the right order is accepted, each wrong one refused where it goes wrong."""

from __future__ import annotations

import pytest

from .shipped import at, changed, fault, first_refused, lines_of, moved, proof_of, shipped, step_of, without

NAME = "ascent-to-descent"


def test_the_right_order_is_accepted_step_by_step() -> None:
    proof = proof_of(NAME)
    assert proof.proved
    assert [p.step.text for p in proof.steps if p.verdict != "ok"] == []


def test_the_shipped_order_is_the_one_that_is_taught() -> None:
    done = [(s.verb, s.gear or s.rope, s.way) for s in shipped(NAME).steps if not s.is_call]
    assert done[:12] == [
        ("advance", "backup", "up"),
        ("clip", "descender", ""),
        ("put", "descender", ""),
        ("take-in", "descender", "tight"),
        ("lock-off", "descender", ""),
        ("check", "", ""),
        ("advance", "backup", "down"),
        ("stand", "foot", ""),
        ("take-off", "chest", ""),
        ("sit", "", ""),
        ("inch-test", "descender", ""),
        ("take-off", "upper", ""),
    ]
    assert step_of(proof_of(NAME), "take in working").step.slack == pytest.approx(0.05)


def test_two_chains_hold_the_student_at_every_moment() -> None:
    for played in proof_of(NAME).steps:
        held = played.held["student"]
        assert (held.chains, held.hands_off, held.ropes) == (2, 2, ("working", "second")), played.step.text


def test_the_weight_is_on_the_descender_from_sitting_on() -> None:
    proof = proof_of(NAME)
    bears = {p.step.text: p.after.loaded for p in proof.steps}
    assert "descender" not in bears["take chest off"]
    assert "descender" in bears["sit down"]


def test_chest_clamp_off_before_the_descender_is_on() -> None:
    proof = proof_of(
        NAME, moved(without(lines_of(NAME), "call change-over"), "take chest off", "advance backup up")
    )
    first = first_refused(proof)
    assert first.n == 1
    found = fault(first, "too-few-chains")
    assert found.count == 1
    assert "1 chain (second), 2 are asked for" in found.text
    assert "foot is a foot loop, no life support" in found.text
    assert found.fix == "put descender on and load it first"


def test_without_lock_off_it_is_refused_at_sitting_down() -> None:
    first = first_refused(proof_of(NAME, without(lines_of(NAME), "lock off descender")))
    assert first.step.text == "sit down"
    found = fault(first, "untended")
    assert "neither locked off nor in anybody's hand" in found.text
    assert found.fix.startswith("lock off descender first")


def test_back_up_unclipped_to_tidy() -> None:
    first = first_refused(proof_of(NAME, [("student", "unclip backup"), *lines_of(NAME)]))
    assert first.n == 1
    found = fault(first, "too-few-chains")
    assert found.count == 1
    assert "1 chain (working)" in found.text
    assert found.fix == "leave backup on: it is the other chain"


WRONG_WAY = ("put descender", "0.3 m slack", "0.3 m slack wrong way round")


def test_descender_the_wrong_way_round_is_refused_at_the_check() -> None:
    first = first_refused(proof_of(NAME, changed(lines_of(NAME), *WRONG_WAY)))
    assert first.step.text == "check descender"
    assert "descender is on working the wrong way round" in fault(first, "check-finds").text


def test_without_the_check_the_inch_test_catches_it_with_the_last_clamp_still_on() -> None:
    lines = without(changed(lines_of(NAME), *WRONG_WAY), "check descender")
    proof = proof_of(NAME, lines[: at(lines, "take upper off")])
    test = step_of(proof, "inch-test")
    found = fault(test, "check-finds")
    assert "descender bears 0 kN" in found.text
    assert "the weight is on upper" in found.text
    assert "descender is on working the wrong way round" in found.text
    assert test.after.on("working", "upper") is not None
    assert "descender" not in test.after.tested
    assert not [f for p in proof.steps for f in p.faults if f.kind in ("falls", "runs", "drops")]


def test_and_the_count_is_told_before_that() -> None:
    first = first_refused(proof_of(NAME, without(changed(lines_of(NAME), *WRONG_WAY), "check descender")))
    assert first.step.text == "take chest off"
    assert fault(first, "too-few-chains").fix == "turn descender round on working first"


def test_a_gap_too_long_to_unload_the_clamp() -> None:
    lines = changed(
        changed(lines_of(NAME), "put descender", "0.3 m", "0.4 m"),
        "take in working",
        "until 50 mm left",
        "until 400 mm left",
    )
    proof = proof_of(NAME, lines)
    sit = step_of(proof, "sit down")
    assert all(p.verdict == "ok" for p in proof.steps[: sit.n - 1])
    assert sit.verdict == "caution"
    found = fault(sit, "not-loaded")
    assert "on upper through foot" in found.text
    assert "descender had 0.4 m" in found.text
    assert "the clamp can't be unloaded" in found.text
    assert found.fix == "stand up again and take in slack at descender until about 50 mm is left"
    assert first_refused(proof).step.text == "inch-test descender"


def test_a_hand_on_bare_rope_is_no_second_chain() -> None:
    lines = [("student", "hand on working"), ("student", "take chest off")]
    found = fault(proof_of(NAME, lines).steps[1], "too-few-chains")
    assert found.count == 1
