"""The example rigs: they read, they say what they teach, and their ropes are long enough."""

from pathlib import Path

import pytest

from ropewright.rig import read_rig, write_rig
from tests.rig.test_starter import drawn_length

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))
NAMES = {path.name.removesuffix(".rig.yaml") for path in EXAMPLES}


def test_every_kind_of_rig_has_an_example() -> None:
    assert {
        "self-haul-one-sheave", "self-haul-double-and-single", "self-haul-one-sheave-crew",
        "self-haul-double-and-single-crew", "descent-hand-on", "descent-hand-off", "descent-locked-off",
        "descent-bar-rack", "descent-figure-eight", "haul-2-1", "haul-3-1", "haul-5-1", "haul-9-1",
        "haul-5-1-complex", "parapet-bare", "parapet-roller", "lower-main-and-second", "lower-two-tensioned",
        "redirect-60-degrees", "anchor-two-legs", "anchor-three-legs", "wrong-device-reversed",
        "wrong-grab-reversed", "litter-and-attendant", "tower-day-lane", "tower-day-ascent", "highline-60-m",
    } <= NAMES  # fmt: skip


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_an_example_reads_and_teaches_something(path: Path) -> None:
    rig = read_rig(path)
    assert rig.about
    assert "\n" not in rig.about
    assert "Tern Harbor" in path.read_text("utf-8").splitlines()[0]
    assert read_rig(write_rig(rig)) == rig
    assert "safe" not in path.read_text("utf-8").lower()


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_its_ropes_reach_and_have_some_to_spare(path: Path) -> None:
    rig = read_rig(path)
    for rope in rig.ropes.values():
        assert rope.length is not None
        assert rope.length > drawn_length(rig, rope.name)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_what_is_lowered_stays_above_the_floor(path: Path) -> None:
    rig = read_rig(path)
    if rig.lower:
        assert rig.loads[rig.lower.load].at[2] - rig.lower.distance > 0
    if rig.haul:
        top = max(place.at[2] for place in rig.points.values())
        assert rig.loads[rig.haul.load].at[2] + rig.haul.distance < top
