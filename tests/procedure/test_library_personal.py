"""The shipped procedures for one person on rope: each is proved, its wrong orders are refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.mechanics import GRAVITY
from ropewright.procedure import World, prove
from ropewright.quantity import Range

from .shipped import (
    Lines,
    Wrong,
    changed,
    fault,
    first_refused,
    lines_of,
    moved,
    proof_of,
    refused,
    shipped,
    step_of,
    without,
)

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


PICK = lines_of("pick-off")
SEEN = changed(PICK, "tie link to descender", "descender", "rescuer")
ON_HARNESS = without(SEEN, "check link")
BOTH_ON_HARNESS = changed(ON_HARNESS, "tie link-two to backup", "backup", "rescuer")
NOT_ATTACHED = without(
    PICK, "check link", "link to descender", "link to subject", "link-two to backup", "link-two to subject"
)
ONE_LINK = without(PICK, "link-two to backup", "link-two to subject")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(
            moved(PICK, "take subject-descender", "hand on subject-line"),
            8,
            "loaded",
            "subject-descender bears 0.80 kN",
        ),
        Wrong(
            without(ONE_LINK, "check link"),
            13,
            "too-few-chains",
            "subject is held by 1 chain (working and link), 2 are asked for",
        ),
        Wrong(
            ON_HARNESS,
            15,
            "too-few-chains",
            "link hangs on the harness of rescuer, which counts for nobody else",
        ),
        Wrong(SEEN, 7, "check-finds", "link joins the harnesses of rescuer and subject, and no device"),
        Wrong(BOTH_ON_HARNESS, 14, "too-few-chains", "subject is held by 1 chain (subject-second)"),
        Wrong(ONE_LINK, 5, "check-finds", "link-two is not rigged"),
        Wrong(NOT_ATTACHED, 6, "cannot", "the weight does not go to working"),
        Wrong(without(PICK, "give weight"), 11, "untended", "subject-descender bears 0.80 kN"),
        Wrong(without(PICK, "advance subject-backup"), 15, "loaded", "subject-backup bears 0.50 kN"),
        Wrong(
            moved(PICK, "undo the lock-off of subject", "hand on subject-line"),
            8,
            "untended",
            "subject-descender bears 0.80 kN",
        ),
    ],
    ids=[
        "old line off before the weight has moved",
        "attached but not backed up, and not checked",
        "on the rescuer's harness, and not checked",
        "on the rescuer's harness",
        "twice on the rescuer's harness",
        "attached but not backed up",
        "not attached",
        "weight not moved",
        "own back-up left tight",
        "undone before the hand is on",
    ],
)
def test_pick_off(wrong: Wrong) -> None:
    refused("pick-off", wrong)


@pytest.mark.parametrize(("rated", "text"), [(150.0, "which is rated for 150 kg"), (None, "nobody has said")])
def test_two_people_on_a_device_for_one(rated: float | None, text: str) -> None:
    procedure = shipped("pick-off")
    assume = {name: figures for name, figures in procedure.rig.assume.items() if name != "descender"}
    if rated:
        assume["descender"] = {"user-mass": Range(rated, rated, rated)}
    proof = prove(replace(procedure, rig=replace(procedure.rig, assume=assume)), load_catalogue())
    if rated is None:  # it bears from the start
        (found,) = [f for f in proof.start_faults if f.about == "descender"]
        assert found.kind == "not-rated"
        assert text in found.text
        return
    first = first_refused(proof)
    assert first.step.text == "give weight to working"
    found = fault(first, "overloaded")
    assert found.about == "descender"
    assert "175 kg (386 lb) hang on descender" in found.text
    assert text in found.text


def test_a_brake_hand_on_somebody_elses_rope_holds_nobody_else() -> None:
    on = step_of(proof_of("pick-off"), "hand on subject-line")
    assert on.held["rescuer"].chains == 2


def test_the_whole_weight_is_on_the_rescuers_descender_before_the_old_line_comes_off() -> None:
    proof = proof_of("pick-off")
    before = step_of(proof, "take subject-descender off").before
    world = World(proof.procedure, load_catalogue())
    bears = world.hang(before).bears
    assert bears["descender"] == pytest.approx((95 + 80) * GRAVITY, rel=0.03)
    assert bears["subject-descender"] == pytest.approx(0.0, abs=1.0)
    assert bears["subject-backup"] == pytest.approx(0.0, abs=1.0)


KNOT = lines_of("knot-pass-personal")


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(
            without(KNOT, "cowstail to upper", "cowstail to student", "check"),
            9,
            "too-few-chains",
            "1 chain (second), 2 are asked for (foot is a foot loop, no life support)",
        ),
        Wrong(moved(KNOT, "take chest off", "stand in"), 11, "loaded", "chest bears 0.94 kN"),
        Wrong(
            changed(KNOT, "put upper", "joint", "joint wrong way round"),
            10,
            "check-finds",
            "upper is on top-half the wrong way round",
        ),
        Wrong(
            changed(KNOT, "stand in", "300 mm", "100 mm"), 13, "reach", "too short between upper and joint"
        ),
        Wrong([KNOT[0], ("student", "advance upper up 0.3 m"), *KNOT[1:]], 2, "cannot", "joint is only"),
    ],
    ids=[
        "upper clamp on a foot loop alone",
        "chest clamp off while it bears",
        "upper clamp wrong way round",
        "not up far enough to clear the knot",
        "clamp pushed over the knot",
    ],
)
def test_knot_pass(wrong: Wrong) -> None:
    refused("knot-pass-personal", wrong)


def test_gear_and_loops_taken_off_can_be_put_on_again() -> None:
    proof = proof_of("knot-pass-personal")
    off, on = step_of(proof, "take upper off").after.rig, step_of(proof, "foot to student").after.rig
    assert "upper" not in off.gear
    assert "foot" not in off.ropes
    assert [c.target for c in on.ropes["foot"].run if c.target] == ["upper", "student"]
