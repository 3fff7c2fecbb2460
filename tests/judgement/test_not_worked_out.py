"""Where the model has no answer nobody is told to fall, and nobody is told to be held."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from ropewright.judgement import letting_go
from ropewright.judgement.examine import Examination, examine
from ropewright.judgement.findings import findings, within_policy
from ropewright.judgement.letting_go import NO_REST, NO_TENSIONS, UNKNOWN
from ropewright.judgement.report import report
from ropewright.judgement.rules import Finding
from ropewright.mechanics import Rest, settle
from ropewright.rig import read_rig
from ropewright.sheets.content import card_of

from .small import CATALOGUE
from .texts import LOWER, examined

EXAMPLES = Path(__file__).parents[2] / "examples"
UNCLIPPED = (
    (EXAMPLES / "lower-two-tensioned.rig.yaml")
    .read_text("utf-8")
    .replace(
        "left-device:  {is: lower-raise-device, at: left-ring, state",
        "left-device: {is: lower-raise-device, state",
    )
)
"""One device hangs on its own rope, drawn up to the litter's knot: there a strand has no length and no
direction, and no tensions are found, though the other rope holds the litter.
"""


@cache
def unclipped() -> Examination:
    return examine(read_rig(UNCLIPPED, CATALOGUE), CATALOGUE, samples=16)


def of(found: tuple[Finding, ...], code: str) -> list[Finding]:
    return [f for f in found if f.code == code]


def test_no_tensions_found_is_no_fall_where_nothing_slips() -> None:
    x = unclipped()
    assert x.hands_off is not None
    (outcome,) = x.hands_off.outcomes
    assert (outcome.verdict, outcome.drop, outcome.reason) == (UNKNOWN, None, NO_TENSIONS)
    found = findings(x)
    assert not of(found, "falls-hands-off")
    said = [f for f in of(found, "held-not-known") if "every hand off" in f.text]
    assert [(f.level, f.open) for f in said] == [("question", True)]
    assert not within_policy(found)


def test_what_is_not_worked_out_is_said_so_everywhere() -> None:
    x = unclipped()
    (row,) = report(x)["holding"]["hands_off"]
    assert (row["outcome"], row["drop_m"]) == ("not worked out", None)
    section = card_of(x, None, file="f", time="t").section("held")
    assert section is not None
    assert any(f"NOT WORKED OUT: {NO_TENSIONS}" in line.text for line in section.lines)


def test_what_holds_without_a_hand_holds_with_them() -> None:
    """With the main ring gone no tensions are found while the hands are on; off, the second line holds."""
    text = (EXAMPLES / "litter-and-attendant.rig.yaml").read_text("utf-8")
    x = examine(read_rig(text, CATALOGUE), CATALOGUE, samples=16)
    failure = next(f for f in x.failures if f.component.label == "main-ring")
    assert {o.verdict for o in failure.after.outcomes} == {"held"}


def test_a_grip_that_slips_is_still_a_fall() -> None:
    """Nine times what a device holds before it slips: nothing is open there."""
    text = (EXAMPLES / "haul-3-1.rig.yaml").read_text("utf-8")
    assert "mass: 100," in text
    x = examine(read_rig(text.replace("mass: 100,", "mass: 900,"), CATALOGUE), CATALOGUE, samples=16)
    assert x.hands_off is not None
    (outcome,) = x.hands_off.outcomes
    assert outcome.verdict == "falls"
    assert "slipping" in outcome.reason


def test_a_rest_that_is_not_found_is_no_fall(monkeypatch: pytest.MonkeyPatch) -> None:
    def unsettled(*args: Any, **kwargs: Any) -> Rest:
        return replace(settle(*args, **kwargs), settled=False)

    monkeypatch.setattr(letting_go, "settle", unsettled)
    x = examine(read_rig(LOWER, CATALOGUE), CATALOGUE, samples=16)
    said = {(o.verdict, o.reason) for f in (*x.failures, *x.failures_later) for o in f.after.outcomes}
    assert (UNKNOWN, NO_REST) in said
    assert not {verdict for verdict, _ in said} & {"held", "falls"}
    found = findings(x)
    asked = of(found, "held-not-known")
    assert asked
    assert all(f.level == "question" and f.open for f in asked)
    assert not of(found, "single-failure")
    assert not within_policy(found)


def test_the_end_of_a_lowering_without_an_answer_keeps_the_rig_outside() -> None:
    x = examined(LOWER)
    lower = replace(x.lower, later=None, later_unsolved="no equilibrium found")  # type: ignore[type-var]
    found = findings(replace(x, lower=lower))
    (said,) = of(found, "end-not-solved")
    assert (said.level, said.open) == ("question", True)
    assert "near the end of the lowering nothing is worked out: no equilibrium found" in said.text
    assert not of(findings(x), "end-not-solved")
