"""A moment as a rig to be drawn, and what a step is said to have changed."""

from __future__ import annotations

import numpy as np
import pytest

from ropewright.judgement.assemble import assemble
from ropewright.procedure import Played
from ropewright.procedure.drawn import SHOWN, changed, rig_of, slack_at
from tests.sheets.stories import NAMES, story

ASCENT = "ascent-to-descent"


def _step(text: str) -> Played:
    return next(s for s in story(ASCENT).proof.steps if s.step.text.startswith(text))


@pytest.mark.parametrize("name", NAMES)
def test_everything_is_where_it_is_at_that_moment(name: str) -> None:
    for played in story(name).proof.steps:
        rig, at = rig_of(played.after), played.after.state.at
        for load in rig.loads.values():
            assert np.allclose(load.at, at[load.name], atol=1e-9)
        for item in rig.gear.values():
            if not isinstance(item.at, str) and item.at is not None:
                assert np.allclose(item.at, at[item.name], atol=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_a_rig_drawn_from_a_moment_has_the_rope_that_the_moment_has(name: str) -> None:
    """Put together afresh from its file form, each span is as long as it was laid, to what slack shows."""
    catalogue = story(name).world.catalogue
    for played in story(name).proof.steps:
        moment = played.after
        afresh = assemble(rig_of(moment), catalogue)
        state = afresh.state(afresh.system)
        for key, laid in moment.state.laid.items():
            rope, k = key
            if key in state.laid and moment.rig.ropes[rope].run[k + 1].target:
                run = moment.rig.ropes[rope].run
                way = moment.apart(str(run[k].target), str(run[k + 1].target))
                assert state.laid[key] == pytest.approx(max(laid, way), abs=SHOWN), (played.n, key)


def test_slack_is_rope_beyond_the_way_and_never_below_nought() -> None:
    start = story(ASCENT).proof.start
    foot = start.rig.ropes["foot"]
    way = float(np.linalg.norm(start.state.at["upper"] - start.state.at["student"]))
    assert slack_at(start, "foot", 1) == pytest.approx(start.state.laid["foot", 0] - way)
    assert slack_at(start, "working", 1) == 0.0
    assert rig_of(start).ropes["foot"].run[1].slack == pytest.approx(slack_at(start, "foot", 1), abs=1e-3)
    assert foot.run[1].slack == 0.0


@pytest.mark.parametrize("name", NAMES)
def test_checks_calls_and_tests_change_nothing(name: str) -> None:
    for played in story(name).proof.steps:
        if played.step.is_check or played.step.is_call:
            assert not changed(played.before, played.after, played.step).anything, played.step.text


@pytest.mark.parametrize("name", NAMES)
def test_every_other_step_changes_something(name: str) -> None:
    for played in story(name).proof.steps:
        if not (played.step.is_check or played.step.is_call) and played.done:
            assert changed(played.before, played.after, played.step).anything, played.step.text


def test_what_changed_is_what_the_step_touched() -> None:
    for text, gear in (
        ("advance backup", "backup"),
        ("clip descender", "descender"),
        ("take chest", "chest"),
    ):
        played = _step(text)
        found = changed(played.before, played.after, played.step)
        assert found.gear == (gear,)
        assert not found.loads
    stood = _step("stand in foot")
    [(who, rise)] = changed(stood.before, stood.after, stood.step).loads
    assert who == "student"
    assert 0.2 < rise <= 0.3


def test_what_left_the_rig_and_a_hand_are_told() -> None:
    off = _step("take upper")
    assert set(changed(off.before, off.after, off.step).gone) == {"upper", "foot"}
    hand = _step("hand on")
    assert changed(hand.before, hand.after, hand.step).hands == ("working",)


def test_without_the_step_a_back_up_that_was_moved_is_still_seen() -> None:
    played = _step("advance backup")
    assert changed(played.before, played.after).gear == ("backup",)
