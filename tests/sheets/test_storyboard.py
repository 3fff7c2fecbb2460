"""The storyboard: a scene for each changed state, what changed marked, and what is wrong said under it."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from ropewright.sheets.leaf import Scene
from ropewright.sheets.leaf_press import print_leaf
from ropewright.sheets.storyboard import scenes, storyboard

from .stories import NAMES, WRONG, leaf, made, printed, story


def _scenes(name: str) -> tuple[Scene, ...]:
    return leaf(name, "storyboard").blocks[0].scenes


@pytest.mark.parametrize("name", NAMES)
def test_every_step_stands_under_one_picture_in_order(name: str) -> None:
    numbers = [int(step.number) for scene in _scenes(name) for step in scene.steps]
    assert numbers == list(range(1, len(story(name).proof.steps) + 1))


@pytest.mark.parametrize("name", NAMES)
def test_checks_and_calls_have_no_picture_of_their_own(name: str) -> None:
    for scene in _scenes(name)[1:]:
        first = story(name).proof.steps[int(scene.steps[0].number) - 1]
        assert not first.step.is_check
        assert not first.step.is_call


@pytest.mark.parametrize("name", NAMES)
def test_the_number_of_the_step_stands_in_its_picture_and_in_no_other(name: str) -> None:
    for scene in _scenes(name):
        assert scene.picture is not None
        texts = [e.text for e in ElementTree.fromstring(scene.picture.svg).iter() if e.tag.endswith("text")]
        tags = [t for t in texts if t and re.fullmatch(r"\d+", t)]
        if scene.title == "Start":
            assert tags == []
        else:
            removed = [line for line in scene.lines if line.lead == "Off the rig:"]
            assert set(tags) == {scene.steps[0].number} or (removed and not tags)


@pytest.mark.parametrize("name", NAMES)
def test_everything_on_the_rig_is_named_in_the_picture(name: str) -> None:
    steps = {s.n: s for s in story(name).proof.steps}
    for scene in _scenes(name)[1:]:
        assert scene.picture is not None
        texts = [e.text for e in ElementTree.fromstring(scene.picture.svg).iter() if e.tag.endswith("text")]
        rig = steps[int(scene.steps[0].number)].after.rig
        assert {*rig.gear, *rig.loads} <= set(texts)


@pytest.mark.parametrize("name", NAMES)
def test_who_is_held_is_said_under_each_picture(name: str) -> None:
    proof = story(name).proof
    for scene in _scenes(name):
        last = int(scene.steps[-1].number) if scene.steps else 0
        held = proof.steps[last - 1].held if last else proof.start_held
        for who, by in held.items():
            [line] = [x for x in scene.lines if x.lead == f"{who}:" and "chain" in x.text]
            assert line.text.startswith(f"{by.chains} chain")
            assert f"{by.hands_off} with hands off" in line.text or not by.hands_off


WIDE = 300.0
"""Width [pt] of a picture beside which no other has room."""


@pytest.mark.parametrize("name", NAMES)
def test_two_pictures_a_page_where_they_are_wide_and_three_or_more_otherwise(name: str) -> None:
    pages = printed(name, "storyboard").pages
    widths = [s.picture.width for s in scenes(story(name)) if s.picture is not None]
    least = 1.8 if max(widths) > WIDE else 3
    assert len(_scenes(name)) / pages >= least or pages == 1


def test_one_rope_has_one_line_in_all_pictures() -> None:
    dashes = set()
    for scene in scenes(story("ascent-to-descent")):
        assert scene.picture is not None
        patterns = re.findall(r'stroke-dasharray="([\d. ]+)"', scene.picture.svg)
        dashes.add("11 3.5 2.5 3.5" in patterns)
    assert dashes == {True}


def test_a_picture_of_somebody_whom_nothing_holds_says_so(tmp_path: Path) -> None:
    told = made(tmp_path, WRONG)
    found = [s for s in scenes(told) if any("NOTHING HOLDS IT" in line.text for line in s.lines)]
    assert found
    for scene in found:
        assert scene.picture is not None
        assert "NOTHING HOLDS IT" in scene.picture.svg
    assert any("gate NOT LOCKED" in s.picture.svg for s in scenes(told) if s.picture)
    assert any("WRONG WAY ROUND" in s.picture.svg for s in scenes(told) if s.picture)
    refused = [n for s in scenes(told) for step in s.steps for n in step.notes if n.lead == "REFUSED:"]
    assert refused
    assert storyboard(told).verdict == "NOT PROVED"
    assert print_leaf(storyboard(told)).pages >= 1


def test_who_stands_is_drawn_standing_on_the_place_of_that_name() -> None:
    told = story("litter-over-the-edge")
    first = next(iter(scenes(told)))
    assert first.picture is not None
    root = ElementTree.fromstring(first.picture.svg)
    high = {
        e.text: float(e.get("y", "nan"))
        for e in root.iter()
        if e.tag.endswith("text") and e.text in ("left", "brink")
    }
    assert 0 < high["brink"] - high["left"] < 60


def test_the_way_is_told_as_the_step_says_it() -> None:
    told = story("ascent-to-descent")
    [scene] = [s for s in scenes(told) if s.steps and s.steps[0].text == "stand in foot up 300 mm (1 ft)"]
    [line] = [x for x in scene.lines if x.text.endswith(" up")]
    assert line.text == "0.3 m (1 ft) up"
