"""A load that has come down on the ground is lowered no further, and nothing is judged below it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.findings import findings
from ropewright.judgement.moved import LATE, Moved
from ropewright.judgement.strokes import grown, strokes
from ropewright.rig import read_rig

from .small import CATALOGUE

EXAMPLES = Path(__file__).parents[2] / "examples"
BESIDE = ("litter-and-attendant", "down: 4}")
SLACK_SECOND = ("lower-main-and-second", "down: 7}")


@cache
def lowered(name: str, asked: str, down: float) -> Examination:
    text = (EXAMPLES / f"{name}.rig.yaml").read_text("utf-8")
    assert asked in text
    return examine(read_rig(text.replace(asked, f"down: {down}}}"), CATALOGUE), CATALOGUE, samples=16)


def motion(x: Examination) -> Moved:
    assert isinstance(x.lower, Moved)
    return x.lower


@pytest.mark.parametrize("down", [8.5, 11.0])
def test_what_is_asked_below_the_ground_is_judged_as_down_to_the_ground(down: float) -> None:
    """The drawn height is 8 m: nothing of a lowering by more is any other than that of one by 8 m."""
    far, whole = (motion(lowered(*SLACK_SECOND, each)) for each in (down, 8.0))
    assert far.travel.reach == pytest.approx(8.0, abs=1e-3)
    assert far.later is not None
    assert whole.later is not None
    assert far.later.at == pytest.approx(whole.later.at, abs=1e-3) == pytest.approx(LATE * 8.0, abs=2e-3)
    later = [
        {(f.component.key, o.verdict, o.reason) for f in x.failures_later for o in f.after.outcomes}
        for x in (lowered(*SLACK_SECOND, down), lowered(*SLACK_SECOND, 8.0))
    ]
    assert later[0] == later[1]


def test_a_fall_at_the_end_is_told_where_more_than_the_way_down_is_asked_too() -> None:
    """It struck the ground at 8 m, and asked for 8.5 m it hung below the floor, and was told as held."""
    for down in (8.0, 8.5):
        assert "falls-later" in {f.code for f in findings(lowered(*SLACK_SECOND, down))}


def test_the_way_ends_where_another_load_comes_to_stand() -> None:
    """The attendant hangs lower than the litter that is lowered: he stands first, and there it ends."""
    x = lowered(*BESIDE, 12.0)
    moved = motion(x)
    low = float(moved.motion.frictionless.position[2, moved.assembly.node["attendant"], 0])
    assert low < x.rig.loads["litter"].at[2]
    assert moved.travel.reach == pytest.approx(low + moved.begun, abs=0.02)
    found = strokes(x, moved)
    assert (found.ends, found.meets, found.resets) == ("ground", ("attendant", "floor"), None)
    (said,) = [f for f in findings(x, "metric") if f.code == "cannot-reach"]
    assert "of 12 m: then attendant stands on floor" in said.text
    assert said.level == "stop"


@pytest.mark.parametrize("down", [5.0, 7.0, 12.0])
@pytest.mark.parametrize("rig", [BESIDE, SLACK_SECOND], ids=["beside", "slack second"])
def test_no_state_of_a_lowering_is_below_the_floor(rig: tuple[str, str], down: float) -> None:
    moved = motion(lowered(*rig, down))
    assert moved.later is not None
    position = moved.later.motion.real.position[2, :, 0]
    assert all(position[moved.assembly.node[name]] > -3e-3 for name in moved.assembly.rig.loads)


def test_no_rope_is_paid_out_past_the_ground() -> None:
    far, whole = (lowered(*SLACK_SECOND, each) for each in (11.0, 8.0))
    for name, more in grown(whole, motion(whole)).items():
        assert grown(far, motion(far))[name] == pytest.approx(more, abs=5e-3)
