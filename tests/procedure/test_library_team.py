"""The shipped procedures that a team does: each is proved, its wrong orders are refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.procedure import prove

from .shipped import (
    Wrong,
    changed,
    first_refused,
    lines_of,
    moved,
    proof_of,
    refused,
    shipped,
    step_of,
    without,
)

UP = lines_of("lower-to-raise")
CAPTURE_TURNED = changed(UP, "put capture", "main-rack", "main-rack wrong way round")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(moved(UP, "hand off main", "lock off main-rack"), 2, "drops", "litter drops 0.19 m"),
        Wrong(
            moved(UP, "hand off main", "lock off main-rack"), 2, "too-few-chains", "1 chain (second), 2 are"
        ),
        Wrong(CAPTURE_TURNED, 14, "check-finds", "capture is on main the wrong way round"),
        Wrong(
            without(CAPTURE_TURNED, "check capture"), 15, "cannot", "capture does not take the weight, it is"
        ),
        Wrong(moved(UP, "take main-rack off", "take weight"), 15, "loaded", "main-rack bears 1.19 kN"),
        Wrong(
            moved(UP, "take main-rack off", "give weight"),
            16,
            "not-tested",
            "capture has borne no weight yet",
        ),
        Wrong(changed(UP, "clip capture", " and lock", ""), 14, "check-finds", "gate of capture is not"),
        Wrong(without(UP, "undo the lock-off"), 21, "slack", "second has 1.91 m (6.3 ft) of slack"),
        Wrong(without(UP, "hand on main"), 21, "slack", "main has 1.79 m (5.9 ft) of slack"),
        Wrong(
            [*UP[:3], ("second-hand", "take second-device off second"), *UP[4:]],
            4,
            "too-few-chains",
            "1 chain (main), 2 are asked for",
        ),
        Wrong(
            without([*UP[:2], ("second-hand", "hand off second"), *UP[2:]], "lock off second-device"),
            3,
            "untended",
            "neither locked off nor in anybody's hand",
        ),
        Wrong(
            without(changed(UP, "put haul-grab", "main-lip", "main-lip wrong way round"), "check capture"),
            14,
            "cannot",
            "litter can't be raised so",
        ),
    ],
    ids=[
        "hand off before lock-off, the drop",
        "hand off before lock-off, the chains",
        "capture the wrong way round, checked",
        "capture the wrong way round, not checked",
        "rack off before the haul has the weight",
        "rack off before the capture has borne",
        "gate of the capture not locked",
        "second line left slack",
        "capture not minded",
        "second line dropped",
        "second line in nobody's care",
        "haul grab the wrong way round",
    ],
)
def test_lower_to_raise(wrong: Wrong) -> None:
    refused("lower-to-raise", wrong)


def test_a_capture_laid_on_a_tight_rope_bears_nothing_until_the_weight_is_given_to_it() -> None:
    laid = step_of(proof_of("lower-to-raise"), "put capture").after
    set_ = step_of(proof_of("lower-to-raise"), "give weight to capture").after
    assert "capture" not in laid.loaded
    assert "capture" in set_.loaded


def test_the_second_line_is_minded_while_the_haul_crew_raises() -> None:
    """It is pulled in as the litter comes up: as long a line over the edge as there is way left."""
    proof = proof_of("lower-to-raise")
    hauled = step_of(proof, "haul litter up 2 m")
    before, after = (sum(m.state.laid["second", k] for k in (0, 1)) for m in (hauled.before, hauled.after))
    assert after == pytest.approx(before - 2.0, abs=0.1)


DOWN = lines_of("raise-to-lower")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(without(DOWN, "take weight"), 9, "loaded", "capture bears 0.77 kN"),
        Wrong(
            moved(DOWN, "take capture off", "give weight to main-rack"),
            11,
            "not-tested",
            "main-rack has borne no weight yet",
        ),
        Wrong(
            without(DOWN, "lock off main-rack", "check main-rack"),
            9,
            "cannot",
            "the weight does not go to main-rack: it would go to second-device",
        ),
        Wrong(
            moved(DOWN, "undo the lock-off of main-rack", "hand on main"), 16, "drops", "litter drops 0.12 m"
        ),
        Wrong(
            without(DOWN, "undo the lock-off of second", "open second"), 19, "cannot", "second-device holds"
        ),
        Wrong(without(DOWN, "let off capture", "take capture off"), 10, "cannot", "would go to capture"),
    ],
    ids=[
        "capture let off under load",
        "capture off before the rack is loaded",
        "rack neither locked nor in hand",
        "lock-off undone before the hand is on",
        "second line still locked",
        "capture left on",
    ],
)
def test_raise_to_lower(wrong: Wrong) -> None:
    refused("raise-to-lower", wrong)


KNOT = lines_of("knot-pass-lowering")
HITCH_TURNED = changed(KNOT, "put release-hitch", "main-rack", "main-rack wrong way round")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(
            [KNOT[0], ("main-hand", "lower litter down 2 m"), *KNOT[2:]],
            2,
            "cannot",
            "bend is 1.4 m (4.6 ft) behind main-rack on main and jams in it",
        ),
        Wrong(
            moved(KNOT, "take main-rack off", "give weight to release"),
            7,
            "loaded",
            "main-rack bears 1.75 kN",
        ),
        Wrong(moved(KNOT, "hand off main", "give weight to release"), 7, "untended", "hand leaves main-rack"),
        Wrong(HITCH_TURNED, 6, "check-finds", "release-hitch is on main the wrong way round"),
        Wrong(
            without(HITCH_TURNED, "check release-hitch"),
            6,
            "cannot",
            "the weight does not go to release: it would go to second-device",
        ),
        Wrong(
            without(KNOT, "lock off main-rack", "check main-rack"),
            15,
            "cannot",
            "main-rack does not take the",
        ),
        Wrong(moved(KNOT, "take release-hitch off", "give weight to main-rack"), 17, "loaded", "1.77 kN"),
        Wrong(
            moved(KNOT, "undo the lock-off of release", "hand on release"), 14, "drops", "litter drops 0.3"
        ),
        Wrong(changed(KNOT, "put main-rack", "behind", "in front of"), 22, "cannot", "and jams in it"),
        Wrong(without(KNOT, "open second"), 21, "cannot", "second-device holds litter"),
    ],
    ids=[
        "not stopped short of the rack",
        "rack off before the release has the weight",
        "hand off before the release has the weight",
        "hitch the wrong way round, checked",
        "hitch the wrong way round, not checked",
        "rack neither locked nor in hand",
        "hitch off while it bears",
        "release undone before the hand is on",
        "rack put back on the same side of the knot",
        "second line not let along",
    ],
)
def test_knot_pass_lowering(wrong: Wrong) -> None:
    refused("knot-pass-lowering", wrong)


def test_the_release_has_to_let_out_what_the_knot_takes() -> None:
    """From the hitch to the rack behind the knot is more rope than it was to the rack in front of it."""
    given = step_of(proof_of("knot-pass-lowering"), "give weight to main-rack")
    before, after = (m.state.laid["release-line", 0] for m in (given.before, given.after))
    assert 0.5 < after - before < 1.0


OVER = lines_of("litter-over-the-edge")
NOT_TIED_IN = without(OVER, "tie left-tether")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(NOT_TIED_IN, 3, "check-finds", "left-tether is made fast to left and to nothing else"),
        Wrong(without(NOT_TIED_IN, "check"), 10, "untied", "left works at lip and is tied to nothing"),
        Wrong(moved(OVER, "move litter", "hand on main"), 5, "cannot", "main-rack is locked off"),
        Wrong(without(OVER, "hand on main"), 11, "cannot", "nobody has a hand on it"),
        Wrong(without(OVER, "hand on second", "open second"), 10, "cannot", "nobody has a hand on it"),
        Wrong(without(OVER, "open second"), 11, "cannot", "second-device is closed"),
    ],
    ids=[
        "tender not tied in, checked",
        "tender not tied in, not checked",
        "over before the lines are in hand",
        "nobody on the main line",
        "nobody on the second line",
        "second line not let along",
    ],
)
def test_litter_over_the_edge(wrong: Wrong) -> None:
    refused("litter-over-the-edge", wrong)


def test_a_litter_goes_over_no_bare_edge() -> None:
    procedure = shipped("litter-over-the-edge")
    bare = replace(procedure.rig.points["lip"], protection=None)
    rig = replace(procedure.rig, points={**procedure.rig.points, "lip": bare})
    played = first_refused(prove(replace(procedure, rig=rig), load_catalogue()))
    assert played.step.verb == "move"
    assert [(f.kind, f.text) for f in played.faults] == [("edge", "lip is bare concrete")]


def test_both_lines_run_over_the_edge_once_the_litter_hangs() -> None:
    after = step_of(proof_of("litter-over-the-edge"), "move litter").after
    for rope in ("main", "second"):
        assert [c.target for c in after.rig.ropes[rope].run if c.verb == "over"] == ["lip"]


RACK = lines_of("rack-lock-off-and-undo")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong([RACK[0], RACK[3], *RACK[1:3], *RACK[4:]], 2, "untended", "the hand leaves rack, which bears"),
        Wrong([RACK[0], *RACK[2:]], 3, "drops", "rescuer drops 0.43 m (1.4 ft) onto backup"),
        Wrong(moved(RACK, "undo", "hand on"), 8, "too-few-chains", "1 chain (second), 2 are asked for"),
        Wrong(without(RACK, "undo"), 9, "cannot", "rack holds rescuer"),
    ],
    ids=[
        "hand off before it is tied off",
        "not tied off at all",
        "undone before the hand is on",
        "lowered while tied off",
    ],
)
def test_rack_lock_off_and_undo(wrong: Wrong) -> None:
    refused("rack-lock-off-and-undo", wrong)


STUCK = lines_of("stuck-student")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(moved(STUCK, "undo the lock-off of left", "hand on left"), 4, "drops", "student drops 0.35 m"),
        Wrong(without(STUCK, "undo the lock-off of right", "open right"), 8, "cannot", "right-release holds"),
        Wrong(without(STUCK, "open right"), 9, "cannot", "right-release holds student"),
        Wrong(moved(STUCK, "hand off left", "lock off left"), 12, "untended", "the hand leaves left-release"),
    ],
    ids=[
        "undone before the hand is on",
        "only one rope let out",
        "second rope not let along",
        "hand off before it is locked again",
    ],
)
def test_stuck_student(wrong: Wrong) -> None:
    refused("stuck-student", wrong)


def test_a_stuck_student_is_let_down_on_both_ropes() -> None:
    proof = proof_of("stuck-student")
    lowered = step_of(proof, "lower student")
    for line in ("left-line", "right-line"):
        out = lowered.after.state.laid[line, 0] - lowered.before.state.laid[line, 0]
        assert out == pytest.approx(6.5, abs=0.2)
    assert lowered.after.state.laid["second", 0] == lowered.before.state.laid["second", 0]


WHISTLE = lines_of("whistle-test")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(moved(WHISTLE, "hand off left", "lock off left"), 2, "untended", "left-device bears 0.89 kN"),
        Wrong(without(WHISTLE, "lock off right"), 5, "untended", "neither locked off nor in anybody's hand"),
        Wrong(
            [*WHISTLE[:3], ("left-hand", "take left-device off left"), *WHISTLE[3:]],
            4,
            "loaded",
            "left-device bears 0.89 kN",
        ),
        Wrong(
            moved(WHISTLE, "undo the lock-off of left", "hand on left"), 10, "untended", "left-device bears"
        ),
        Wrong(
            without(WHISTLE, "undo the lock-off of right", "open right"),
            15,
            "cannot",
            "right-device holds litter",
        ),
    ],
    ids=[
        "hand off before lock-off",
        "one device not locked off",
        "a device off its rope",
        "undone before the hand is on",
        "one line still locked",
    ],
)
def test_whistle(wrong: Wrong) -> None:
    refused("whistle-test", wrong)


def test_two_operators_let_both_lines_out_at_once() -> None:
    lowered = step_of(proof_of("whistle-test"), "lower litter")
    for rope in ("left", "right"):
        out = lowered.after.state.laid[rope, 0] - lowered.before.state.laid[rope, 0]
        assert out == pytest.approx(2.0, abs=0.1)
