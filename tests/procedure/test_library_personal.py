"""The shipped procedures for one person on rope: each is proved, its wrong orders are refused."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.procedure import prove

from .shipped import (
    Lines,
    changed,
    fault,
    first_refused,
    lines_of,
    moved,
    proof_of,
    shipped,
    step_of,
    without,
)

NAMES = [
    "ascent-to-descent",
    "descent-to-ascent",
    "line-transfer",
    "lock-off-and-undo",
    "self-haul-to-descent",
]


@pytest.mark.parametrize("name", NAMES)
def test_every_step_of_a_shipped_procedure_is_in_order(name: str) -> None:
    proof = proof_of(name)
    assert proof.start_faults == ()
    assert [(p.n, [f.text for f in p.faults]) for p in proof.steps if p.verdict != "ok"] == []
    assert proof.proved


@pytest.mark.parametrize("name", NAMES)
def test_two_chains_hold_everybody_from_first_to_last(name: str) -> None:
    proof = proof_of(name)
    for held in (proof.start_held, *(p.held for p in proof.steps)):
        assert held
        assert all(h.chains >= 2 and h.hands_off >= 1 for h in held.values())


@pytest.mark.parametrize("name", NAMES)
def test_a_skill_sheet_has_what_it_needs(name: str) -> None:
    procedure = shipped(name)
    assert procedure.given
    assert procedure.minutes
    assert procedure.stop_rules
    assert all(procedure.people[step.doer].role for step in procedure.steps)
    assert any(step.is_check for step in procedure.steps)
    assert all(step.word in procedure.words for step in procedure.steps if step.is_call)
    assert 8 <= len(procedure.steps) <= 20


class Wrong(NamedTuple):
    """A wrong order, and the step refused first: its number, the kind of fault, a piece of the text."""

    lines: Lines
    n: int
    kind: str
    text: str


def refused(name: str, wrong: Wrong) -> None:
    """See that a wrong order is refused where and why it should be."""
    played = first_refused(proof_of(name, wrong.lines))
    found = fault(played, wrong.kind)
    assert (played.n, found.level) == (wrong.n, "refused")
    assert wrong.text in found.text
    assert found.fix


LOCK = lines_of("lock-off-and-undo")


def _swapped(lines: Lines, k: int) -> Lines:
    """Two lines that follow each other, the other way round."""
    return [*lines[: k - 1], lines[k], lines[k - 1], *lines[k + 1 :]]


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(_swapped(LOCK, 3), 3, "untended", "descender bears 0.94 kN"),
        Wrong(moved(LOCK, "undo", "hand on"), 9, "untended", "neither locked off nor in anybody's hand"),
        Wrong(without(LOCK, "hand on"), 9, "untended", "neither locked off nor in anybody's hand"),
        Wrong(without(LOCK, "undo"), 10, "cannot", "descender is locked off"),
        Wrong(without(LOCK, "open"), 11, "cannot", "descender holds student"),
    ],
    ids=["hand off before lock-off", "undone before hand", "no hand", "not undone", "not opened"],
)
def test_lock_off_and_undo(wrong: Wrong) -> None:
    refused("lock-off-and-undo", wrong)


UP = lines_of("descent-to-ascent")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(without(UP, "lock off", "undo"), 3, "untended", "neither locked off nor in anybody's hand"),
        Wrong(moved(UP, "take descender off", "stand in"), 11, "loaded", "descender bears 0.95 kN"),
        Wrong(
            moved(moved(UP, "undo", "put chest"), "take descender off", "put chest"),
            13,
            "too-few-chains",
            "1 chain (second), 2 are asked for (foot is a foot loop",
        ),
        Wrong(
            changed(
                UP,
                "put chest on working above descender",
                "above descender",
                "above descender wrong way round",
            ),
            14,
            "check-finds",
            "chest is on working the wrong way round",
        ),
        Wrong(
            changed(UP, "clip chest", " and lock", ""), 15, "check-finds", "the gate of chest is not locked"
        ),
        Wrong([*UP[:4], ("student", "unclip backup"), *UP[4:]], 5, "too-few-chains", "1 chain (working)"),
    ],
    ids=[
        "no lock-off",
        "descender off under load",
        "descender off while standing",
        "chest clamp wrong way round",
        "gate not locked",
        "back-up off",
    ],
)
def test_descent_to_ascent(wrong: Wrong) -> None:
    refused("descent-to-ascent", wrong)


def test_descender_off_before_anybody_sat_on_the_chest_clamp_is_told() -> None:
    """As with the clamps on the way down, the foot-loop clamp is still on: a caution, not a refusal."""
    off = step_of(proof_of("descent-to-ascent", without(UP, "sit down", "inch-test")), "take descender off")
    found = fault(off, "not-tested")
    assert (off.verdict, found.level) == ("caution", "caution")
    assert "descender comes off working, and upper was not tested" in found.text


HAUL = lines_of("self-haul-to-descent")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(moved(HAUL, "hand off main", "lock off"), 2, "untended", "device bears 1.10 kN"),
        Wrong(without(HAUL, "lock off"), 2, "untended", "neither locked off nor in anybody's hand"),
        Wrong(moved(HAUL, "take handled off", "lock off"), 2, "loaded", "handled bears 0.89 kN"),
        Wrong(moved(HAUL, "out of twin.1", "lock off"), 2, "loaded", "main is loaded with 0.44 kN"),
        Wrong(moved(HAUL, "undo", "hand on"), 14, "untended", "device bears 1.10 kN"),
        Wrong(
            [("climber", "take device off main"), *HAUL],
            1,
            "drops",
            "climber drops 0.33 m (1.1 ft) onto backup",
        ),
    ],
    ids=[
        "hand off before lock-off",
        "no lock-off",
        "grab off while it bears",
        "sheave emptied under load",
        "undone before the hand is on",
        "device off in mid-haul",
    ],
)
def test_self_haul_to_descent(wrong: Wrong) -> None:
    refused("self-haul-to-descent", wrong)


ACROSS = lines_of("line-transfer")
OLD_BACK_UP_FIRST = moved(
    moved(ACROSS, "take backup off", "clip backup-two"), "unclip backup", "clip backup-two"
)
CHEST_WRONG = changed(ACROSS, "put chest", "two-working", "two-working wrong way round")
CHEST_SLACK = without(changed(ACROSS, "put chest", "two-working", "two-working with 0.5 m slack"), "check")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(OLD_BACK_UP_FIRST, 2, "too-few-chains", "1 chain (one-working), 2 are asked for"),
        Wrong(
            without(ACROSS, "clip backup-two", "put backup-two", "check"),
            13,
            "too-few-chains",
            "1 chain (two-working), 2 are asked for",
        ),
        Wrong(moved(ACROSS, "take descender off", "hand on"), 7, "loaded", "descender bears 0.95 kN"),
        Wrong(moved(ACROSS, "undo", "hand on"), 7, "untended", "neither locked off nor in anybody's hand"),
        Wrong(CHEST_WRONG, 6, "check-finds", "chest is on two-working the wrong way round"),
        Wrong(without(CHEST_WRONG, "check"), 9, "cannot", "the weight does not go to two-working"),
        Wrong(CHEST_SLACK, 9, "cannot", "the weight does not go to two-working"),
        Wrong(
            without(changed(ACROSS, "clip backup-two", " and lock", ""), "check"),
            15,
            "too-few-chains",
            "the gate of backup-two is not locked",
        ),
    ],
    ids=[
        "old back-up off first",
        "no back-up on the new second rope",
        "descender off while it bears",
        "undone before the hand is on",
        "chest clamp wrong way round",
        "and not checked",
        "the old back-up catches before the slack new clamp",
        "gate of the new back-up open",
    ],
)
def test_line_transfer(wrong: Wrong) -> None:
    refused("line-transfer", wrong)


def test_four_attachments_while_the_weight_goes_over() -> None:
    proof = proof_of("line-transfer")
    assert step_of(proof, "give weight").held["student"].chains == 4
    last = proof.steps[-1].held["student"]
    assert (last.chains, set(last.ropes)) == (2, {"two-working", "two-second"})


def test_a_lane_too_far_to_the_side_is_out_of_reach() -> None:
    procedure = shipped("line-transfer")
    points = procedure.rig.points
    far = replace(points["two-post"], at=(1.4, 0.0, 12.8))
    rig = replace(procedure.rig, points={**points, "two-post": far})
    first = first_refused(prove(replace(procedure, rig=rig), load_catalogue()))
    assert first.step.text == "put backup-two on two-second with 0.2 m slack"
    assert "two-second is 1.4 m" in fault(first, "reach").text
