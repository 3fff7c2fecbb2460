"""Where a motion begins or ends near the ground: one event is judged alike at either end."""

from __future__ import annotations

from functools import cache

import pytest

from ropewright.cli.summary.page import brief, summary
from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.findings import findings
from ropewright.judgement.report import report
from ropewright.judgement.rules import Context, Finding
from ropewright.rig import Answers, read_rig, starter_text
from ropewright.sheets.content import told_first
from tests.judgement.small import CATALOGUE
from tests.judgement.texts import LOWER


@cache
def looked_at(text: str) -> tuple[Examination, tuple[Finding, ...]]:
    x = examine(read_rig(text, CATALOGUE), CATALOGUE, samples=64)
    return x, findings(x, "metric")


def hauled(slack: float, up: float = 3.6) -> str:
    """A 3:1 that begins 1.2 m above the ground, with so much slack in its second line."""
    text = starter_text(Answers("haul-3-1"), CATALOGUE)
    assert "slack 0.3 m" in text
    assert "up: 3.6" in text
    return text.replace("slack 0.3 m", f"slack {slack} m").replace("up: 3.6", f"up: {up}")


def levels(text: str, *codes: str) -> set[tuple[str, str]]:
    return {(f.code, f.level) for f in looked_at(text)[1] if f.code in codes}


def test_a_haul_that_begins_too_near_the_ground_is_a_caution_where_it_is_held_higher_up() -> None:
    assert levels(hauled(0.7), "ground-first", "single-failure") == {("ground-first", "caution")}


def test_a_lowering_that_ends_there_is_the_same_caution() -> None:
    assert levels(LOWER, "falls-later", "ground-first") == {("falls-later", "caution")}


def test_a_drop_that_is_too_far_with_room_beneath_is_a_stop() -> None:
    assert levels(hauled(1.0), "ground-first", "single-failure") == {("single-failure", "stop")}


def test_a_haul_that_never_leaves_that_stretch_is_a_stop() -> None:
    assert levels(hauled(0.7, up=0.1), "ground-first", "single-failure") == {("single-failure", "stop")}


def test_a_policy_that_asks_for_clearance_asks_for_it_there() -> None:
    strict = f"{hauled(0.7)}policy: {{least-clearance: 0.1 m}}\n"
    assert levels(strict, "ground-first", "single-failure") == {("single-failure", "stop")}
    lower = f"{LOWER}policy: {{least-clearance: 0.1 m}}\n"
    assert levels(lower, "falls-later") == {("falls-later", "stop")}


@pytest.mark.parametrize(("text", "which"), [(hauled(0.7), "first"), (LOWER, "last")])
def test_the_verdict_carries_the_exception_everywhere(text: str, which: str) -> None:
    x, found = looked_at(text)
    ctx = Context(x, "metric")
    said = [line for line in told_first(ctx, found) if f"the {which} 1." in line]
    assert len(said) == 1
    assert "above the ground: there litter strikes the ground if" in said[0]
    page = " ".join(summary("f", ctx, found).split())
    assert said[0] in page
    assert page.index(said[0]) < page.index("What was found")
    assert said[0].rstrip(".") in brief("f", ctx, found)
    (row,) = report(x, "metric", found)["except_near_ground"]
    assert (row["load"], row["text"]) == ("litter", said[0])
    assert 1.0 < row["below_m"] < 1.5
