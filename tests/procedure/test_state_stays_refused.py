"""A state that is refused stays refused at every step until something puts it right."""

from __future__ import annotations

import pytest

from ropewright.procedure import Proof
from ropewright.procedure.prove import prove
from ropewright.procedure.world import World

from .random_steps import catalogue, made
from .shipped import lines_of, proof_of


def badly_held(proof: Proof) -> list[int]:
    """The steps after which somebody is held by fewer chains than the rule asks."""
    policy = World(proof.procedure, catalogue()).policy
    chains, off = (int(policy.number(key) or 0) for key in ("chains", "hands-off-chains"))
    return [
        p.n
        for p in proof.steps
        if any(held.chains < chains or held.hands_off < off for held in p.held.values())
    ]


@pytest.mark.parametrize("number", range(16))
def test_whoever_is_held_by_too_few_chains_is_refused_at_every_step_at_which_it_is_so(number: int) -> None:
    proof = prove(made("stays", number).procedure, catalogue(), failing=False)
    verdicts = {p.n: p.verdict for p in proof.steps}
    assert {n: verdicts[n] for n in badly_held(proof)} == dict.fromkeys(badly_held(proof), "refused")


def test_random_procedures_hold_somebody_badly_over_more_than_one_step() -> None:
    proofs = [prove(made("stays", n).procedure, catalogue(), failing=False) for n in range(16)]
    assert any({n, n + 1} <= set(badly_held(proof)) for proof in proofs for n in badly_held(proof))


def test_the_steps_after_a_chest_clamp_that_came_off_too_soon_stay_refused_until_it_is_on_again() -> None:
    call, advance, clip, *_ = lines_of("ascent-to-descent")
    off, on = ("student", "take chest off"), ("student", "put chest on working below upper")
    proof = proof_of("ascent-to-descent", [call, advance, off, clip, on, clip])
    assert [p.verdict for p in proof.steps[2:4]] == ["refused", "refused"]
    (still,) = [f for f in proof.steps[3].faults if f.kind == "still"]
    assert still.level == "refused"
    assert still.text.startswith("still so since step 3: student is held by 1 chain (second)")
    assert still.fix
    assert badly_held(proof) == [3, 4]
    assert not any(f.kind == "still" for f in proof.steps[4].faults)


def test_a_drop_that_one_failure_would_make_stays_refused_too() -> None:
    call, _, clip, *_ = lines_of("ascent-to-descent")
    slack = ("student", "advance backup down 1.5 m")
    proof = proof_of("ascent-to-descent", [call, slack, clip])
    first, later = ([f for f in p.faults if f.about == "student"] for p in proof.steps[1:])
    assert [p.verdict for p in proof.steps] == ["ok", "refused", "refused"]
    assert {f.kind for f in first} == {"slack", "drop"}
    assert {(f.kind, f.level) for f in later} == {("still", "refused")}
    assert {f.text for f in later} == {f"still so since step 2: {f.text}" for f in first}


def test_a_step_that_helps_but_not_enough_says_so_and_is_refused() -> None:
    for number in range(16):
        proof = prove(made("stays", number).procedure, catalogue(), failing=False)
        for before, after in zip(proof.steps, proof.steps[1:], strict=False):
            for fault in after.faults:
                if fault.text.startswith("better, and still not right since"):
                    assert after.held[fault.about].chains >= before.held[fault.about].chains
                    assert after.verdict == "refused"
                    return
    pytest.fail("no random procedure has a step that helps only in part")
