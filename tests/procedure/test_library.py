"""Every shipped procedure is proved, keeps everybody on two chains, and has what its sheets need."""

from __future__ import annotations

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.procedure import prove

from .shipped import NAMES_OF_ALL, lines_of, proof_of, shipped, worked_out

PERSONAL = (
    "ascent-to-descent",
    "descent-to-ascent",
    "knot-pass-personal",
    "line-transfer",
    "lock-off-and-undo",
    "pick-off",
    "self-haul-to-descent",
)
"""What one person on rope does: somebody hangs from the first moment on."""
TEAM = (
    "knot-pass-lowering",
    "litter-over-the-edge",
    "lower-to-raise",
    "rack-lock-off-and-undo",
    "raise-to-lower",
    "stuck-student",
    "whistle-test",
)
NAMES = (*PERSONAL, *TEAM)


def test_these_are_all_that_are_shipped() -> None:
    assert sorted(NAMES) == sorted(NAMES_OF_ALL)


@pytest.mark.parametrize("name", ["ascent-to-descent", "lower-to-raise"])
def test_a_world_that_was_asked_before_says_what_a_new_one_says(name: str) -> None:
    """All these tests ask one world of each procedure, and so do the mistakes of its sheets."""
    proof_of(name, lines_of(name)[::-1])
    worked_out(name)
    asked, new = proof_of(name), prove(shipped(name), load_catalogue())
    assert [(p.verdict, p.faults, p.held) for p in asked.steps] == [
        (p.verdict, p.faults, p.held) for p in new.steps
    ]


@pytest.mark.parametrize("name", NAMES)
def test_every_step_is_in_order(name: str) -> None:
    proof = proof_of(name)
    assert proof.start_faults == ()
    assert [(p.n, [f.text for f in p.faults]) for p in proof.steps if p.verdict != "ok"] == []
    assert proof.proved


@pytest.mark.parametrize("name", NAMES)
def test_two_chains_hold_all_who_hang_and_one_of_them_with_every_hand_off(name: str) -> None:
    proof = proof_of(name)
    assert proof.steps[-1].held
    for held in (proof.start_held, *(p.held for p in proof.steps)):
        assert held or name in TEAM
        assert all(h.chains >= 2 and h.hands_off >= 1 for h in held.values())


@pytest.mark.parametrize("name", NAMES)
def test_a_skill_sheet_has_what_it_needs(name: str) -> None:
    procedure = shipped(name)
    assert procedure.given
    assert procedure.minutes
    assert procedure.stop_rules
    assert all(procedure.people[step.doer].role for step in procedure.steps)
    assert any(step.is_check for step in procedure.steps)
    assert all(step.word in procedure.words for step in procedure.steps if step.is_call)
    assert 8 <= len(procedure.steps) <= (20 if name in PERSONAL else 23)
