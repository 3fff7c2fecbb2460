"""Rope behind a releasable anchor, in figures that can be written down by hand."""

from __future__ import annotations

import pytest

from ropewright.judgement.lengths import rope_needs
from ropewright.judgement.rules import Context
from ropewright.judgement.spare import Spare
from tests.effort.rigs import lane
from tests.judgement.texts import HANG, examined, found, swapped

FOOT = 0.3048
RESERVE = "rope-reserve: 30 ft"


def spare(text: str) -> Spare:
    (one,) = Context(examined(text)).spares
    return one


def test_what_is_laid_behind_the_device_counts_and_not_the_whole_rope() -> None:
    one = spare(lane())
    assert (one.rope, one.device, one.load) == ("working", "release", "student")
    assert one.laid == pytest.approx(0.3)
    assert one.needed == one.height == pytest.approx(8.0)
    assert not one.enough
    assert spare(swapped(lane(), ("slack 0.3", "slack 8"))).enough


def test_a_greater_reserve_of_the_policy_is_asked() -> None:
    one = spare(lane(reserve=RESERVE))
    assert one.height == pytest.approx(8.0)
    assert one.needed == pytest.approx(30 * FOOT)
    assert not spare(swapped(lane(reserve=RESERVE), ("slack 0.3", "slack 8"))).enough
    assert spare(swapped(lane(reserve=RESERVE), ("slack 0.3", "slack 30 ft"))).enough


def test_too_little_is_a_stop_where_the_policy_asks_for_a_reserve() -> None:
    for reserve, level in ((RESERVE, "stop"), ("", "caution")):
        (told,) = [f for f in found(lane(reserve=reserve)) if f.code == "spare-too-short"]
        assert (told.level, told.part) == (level, "release")
        assert told.text.startswith("0.3 m (1 ft) of working is laid behind release to be let out; ")
    assert "lower student to the ground from there takes 8 m (26.2 ft)" in told.text
    assert told.repair == "lay 7.7 m (25.3 ft) more of it there, and say so: `slack 8 m`"


def test_a_load_on_the_other_side_is_let_down_with_the_free_end() -> None:
    run = "- tie post with figure-eight-bight\n      - through release slack 0.3\n      - through descender\n"
    turned = swapped(lane(length="20"), (run, "- tie student with bowline\n      - through release\n"),
        ("- hand student", "- tail"), ("lower: {load: student, down: 7}\n", ""))  # fmt: skip
    one = spare(turned)
    assert one.laid == pytest.approx(20 - 4.8, abs=0.05)
    assert one.slack == 0.0
    assert one.enough
    unknown = spare(swapped(turned, ("    length: 20\n", "")))
    assert unknown.laid is None
    assert not unknown.enough


def test_laid_spare_is_the_reserve_and_is_not_asked_twice() -> None:
    little, much = (
        rope_needs(examined(swapped(lane(reserve=RESERVE), ("slack 0.3", f"slack {slack}"))))[0]
        for slack in ("0.3", "30 ft")
    )
    assert little.reserve == pytest.approx(30 * FOOT)
    assert much.reserve == pytest.approx(30 * FOOT)
    assert much.needed == pytest.approx(little.needed, abs=0.01)


def test_a_device_that_is_not_tied_off_has_no_spare() -> None:
    assert Context(examined(lane().replace(", state: locked-off", ""))).spares == ()
    assert Context(examined(HANG)).spares == ()
