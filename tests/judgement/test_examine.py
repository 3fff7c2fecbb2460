"""What of an examination is asked at once, and what only when it is wanted."""

import importlib
from pathlib import Path
from typing import Any

import pytest

from ropewright.judgement.examine import examine
from ropewright.judgement.findings import findings
from ropewright.judgement.moved import Moved
from ropewright.judgement.report import report
from ropewright.rig import read_rig

from .small import CATALOGUE, TWO_LINES, rig

examining = importlib.import_module("ropewright.judgement.examine")
LATER = ("_failure", "holding", "_limit")


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of what was asked, in order."""
    out: list[str] = []

    def noted(name: str, ask: Any) -> Any:
        def noting(*args: Any) -> Any:
            out.append(name)
            return ask(*args)

        return noting

    for name in LATER:
        monkeypatch.setattr(examining, name, noted(name, getattr(examining, name)))
    return out


def test_everything_is_asked_at_once_unless_postponed(asked: list[str]) -> None:
    examine(rig(TWO_LINES), CATALOGUE, 10)
    assert set(asked) == set(LATER)


def test_what_is_postponed_is_asked_when_it_is_read_and_once(asked: list[str]) -> None:
    x = examine(rig(TWO_LINES), CATALOGUE, 10, postponed=True)
    assert asked == []
    assert x.failures is x.failures
    assert asked == ["_failure"] * len(x.components)


def test_the_first_findings_ask_for_nothing_postponed(asked: list[str]) -> None:
    x = examine(rig(TWO_LINES), CATALOGUE, 10, postponed=True)
    first = findings(x, first=True)
    assert asked == []
    assert first
    assert {f.code for f in first} <= {f.code for f in findings(x)}


def test_a_postponed_examination_says_the_same_in_the_end() -> None:
    one = rig(TWO_LINES)
    whole, postponed = examine(one, CATALOGUE, 10), examine(one, CATALOGUE, 10, postponed=True)
    findings(postponed, first=True)
    whole_found, found = findings(whole), findings(postponed)
    assert found == whole_found
    told, said = report(postponed, "both", found), report(whole, "both", whole_found)
    for each in (told, said):  # which figures were looked up is the same, in which order is not
        each["assumptions"].sort(key=lambda used: used["figure"])
    assert told == said


def test_of_failures_that_load_a_part_alike_the_first_is_named() -> None:
    x = examine(rig(TWO_LINES), CATALOGUE, 10)
    later = {part["part"]: part["after_a_failure"] for part in report(x)["parts"]}
    named = next(p.label for p in x.components if p.label in ("main-ring", "rope main"))
    assert later["second"]["when"] == f"once {named} has failed"


def test_a_look_that_stops_before_the_end_of_a_stroke_gives_the_same_forces() -> None:
    hauled = read_rig(Path(__file__).parents[2] / "examples" / "haul-3-1.rig.yaml", CATALOGUE)
    whole, short = (
        examine(hauled, CATALOGUE, 16),
        examine(hauled, CATALOGUE, 16, postponed=True, to_the_end=False),
    )
    assert isinstance(whole.haul, Moved)
    assert isinstance(short.haul, Moved)
    assert short.haul.later is None
    assert whole.haul.later is not None
    assert short.haul.hand_force == whole.haul.hand_force
    assert short.haul.actual == whole.haul.actual
