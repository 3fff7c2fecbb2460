"""The prover against the slow oracle: nothing that it passes drops anybody.

``ROPEWRIGHT_PROCEDURES`` says how many random procedures; ``python -m tests.procedure.agreement`` runs 1000.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from ropewright.judgement.components import Component
from ropewright.procedure.forms import read_step
from ropewright.procedure.laying import replace_contact
from ropewright.procedure.moment import Moment
from ropewright.procedure.prove import Held, Proof, prove
from ropewright.procedure.rules import amiss
from ropewright.procedure.world import World
from ropewright.quantity import Range
from ropewright.rig import Contact
from tests.judgement.oracle import read, watched

from .agreement import CAUTIOUS, LEFT_WITHOUT, NOT_ASKED, WHY, Looked, Tally, against, compare, run
from .oracle import STILL, Judged, Oracle, left_open, single_things, standing_fixed
from .random_steps import RIGS, SHIPPED, Made, catalogue, made, shipped, walking_rig
from .together import Case, watched_together

PROCEDURES = int(os.environ.get("ROPEWRIGHT_PROCEDURES", "10"))
GRIP = {"student": 209.0, "instructor": 209.0, "climber": 209.0, "looker": 209.0}


def test_nobody_is_dropped_whom_the_prover_passes() -> None:
    tally = run(PROCEDURES, os.cpu_count() or 1, seed="suite")
    assert tally.procedures == PROCEDURES
    assert tally.crashed == []
    assert tally.dangerous == []
    assert tally.passed > 5 * PROCEDURES
    assert tally.agreed.total() > PROCEDURES / 4
    assert len(tally.rubs) <= 0.01 * tally.passed
    assert len(tally.unsure) <= 0.01 * tally.moments
    assert set(tally.cautious) <= set(CAUTIOUS)  # each kind explained


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name.removesuffix(".procedure.yaml"))
def test_the_shipped_procedures_drop_nobody(path: Path) -> None:
    tally = Tally()
    compare(Made(path.name, (), shipped(path)), tally)
    assert (tally.dangerous, tally.crashed, tally.unsure) == ([], [], [])
    assert tally.moments == len(shipped(path).steps) + 1


def test_every_kind_of_fault_is_either_asked_of_the_oracle_or_said_not_to_be() -> None:
    assert set(WHY) == LEFT_WITHOUT | set(NOT_ASKED)
    assert not LEFT_WITHOUT & set(NOT_ASKED)


def test_random_procedures_are_always_the_same_and_not_all_alike() -> None:
    once, twice = [made("same", n) for n in range(9)], [made("same", n) for n in range(9)]
    assert [m.procedure.steps for m in once] == [m.procedure.steps for m in twice]
    assert len({m.procedure.steps for m in once}) >= 8
    assert any("walk" in m.how[0] for m in once)


def test_a_disagreement_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    one = proof((PUT, ""), ("take in working at descender until 50 mm left", ""))
    case = Made("wrong", (), one.procedure)
    right, wrong = Tally(), Tally()
    compare(case, right)
    assert right.dangerous == []
    fine = tuple(
        replace(p, faults=(), held={"student": Held(2, 2, ("working", "second"))}) for p in one.steps
    )
    monkeypatch.setattr("tests.procedure.agreement.prove", lambda *_: replace(one, steps=fine))
    compare(case, wrong)
    assert any("take upper off" in text and "backup gone" in text for text in wrong.dangerous)


# --- the oracle knows what an instructor knows


ASCENT = next(path for path in SHIPPED if path.name.startswith("ascent-to-descent"))
PUT = "put descender on working below chest with 0.3 m slack"


def proof(*changes: tuple[str, str]) -> Proof:
    """The way from going up to going down, with some of its lines put otherwise, left out where empty."""
    base = shipped(ASCENT)
    assert {old for old, _ in changes} <= {step.text for step in base.steps}
    lines = [(s.doer, dict(changes).get(s.text, s.text)) for s in base.steps]
    steps = tuple(read_step(doer, text, "metric", n) for n, (doer, text) in enumerate(lines, 1) if text)
    return prove(replace(base, steps=steps), catalogue())


def judged(moment: Moment) -> Judged:
    return Oracle(catalogue(), GRIP).judged(moment)


def after(one: Proof, text: str) -> Moment:
    return next(played.after for played in one.steps if played.step.text == text)


def test_it_finds_nobody_dropped_where_two_lines_hold() -> None:
    assert judged(proof().start).drops() == []


def test_it_finds_the_line_that_is_left() -> None:
    one = proof((PUT, ""), ("take in working at descender until 50 mm left", ""))
    found = judged(after(one, "take upper off"))
    assert {d.after for d in found.one_gone} >= {"backup gone", "anchor post gone", "rope second gone"}
    assert found.at_once == []


def test_it_counts_no_gate_that_is_not_locked() -> None:
    one = proof(("clip descender to student and lock", "clip descender to student"))
    assert any(d.after == "backup gone" for d in judged(after(one, "take upper off")).one_gone)


def test_it_lets_a_device_run_that_is_held_open_without_a_hand() -> None:
    one = proof(("hand on working", ""))
    moment = after(one, "open descender")
    assert any(d.after == "backup gone" for d in judged(moment).one_gone)


def test_it_sees_slack_that_is_longer_than_the_way_to_the_ground() -> None:
    moment = proof().start
    slack = moment.with_laid({("second", 0): moment.state.laid["second", 0] + 9.0})
    assert judged(moment).drops() == []
    assert any("below the ground" in d.how for d in judged(slack).one_gone if d.after == "rope working gone")


def test_many_let_go_at_once_come_to_the_same_as_one_after_the_other() -> None:
    moment = after(proof(), "sit down")
    rig = standing_fixed(moment)
    pictures = [read(rig, catalogue(), (part,), True) for part in single_things(rig)]
    cases = [Case(rig, picture, moment.state, GRIP) for picture in pictures]
    many = watched_together(cases, catalogue(), 60.0, STILL)
    for picture, came in zip(pictures, many, strict=True):
        alone = watched(rig, catalogue(), picture, moment.state, GRIP, 60.0, STILL)
        assert came["student"].answer == alone["student"].answer
        if came["student"].answer == "rests":
            assert came["student"].height == pytest.approx(alone["student"].height, abs=0.03)


# --- what was found wrong with the prover, and mended


def looks(one: Proof) -> Iterator[Looked]:
    for played in one.steps:
        yield Looked(str(played.n), played.after, dict(played.held), played.faults)


def test_a_line_with_more_slack_than_there_is_height_is_no_chain() -> None:
    one = proof(("advance backup down 0.2 m", "advance backup down 9 m"))
    look = next(look for look in looks(one) if look.where == "8")
    assert look.held["student"] == Held(1, 1, ("working",))
    text = next(f.text for f in look.faults if f.kind == "too-few-chains")
    assert "second would not hold alone: reaches the ground before the rope holds" in text
    assert "too-few-chains" in against(look, "student")


def test_a_hand_asked_for_more_than_it_can_hold_is_no_chain() -> None:
    one = proof((PUT, f"{PUT} wrong way round"))
    played = next(p for p in one.steps if p.step.text == "hand on working")
    assert played.held["student"].chains == 1
    assert any(d.after == "backup gone" for d in judged(played.after).one_gone)


def test_rope_too_short_to_reach_is_refused() -> None:
    base = shipped(ASCENT)
    world = World(base, catalogue())
    start = proof().start
    tied = replace_contact(start, "working", len(start.rig.ropes["working"].run) - 1, Contact("tie", "floor"))
    short = tied.with_laid({("working", 2): 1.0})
    found = amiss(world, world.hang(short).moment)
    assert found["not-settled", "working"].level == "refused"
    assert "too short to reach" in found["not-settled", "working"].text
    assert ("not-settled", "working") not in amiss(world, proof().start)


def test_a_hand_with_slack_between_it_and_an_open_device_brakes_nothing() -> None:
    one = proof()
    world = World(one.procedure, catalogue())
    moment = after(one, "open descender")
    end = len(moment.rig.ropes["working"].run) - 1
    loose = moment.with_laid({("working", end - 1): moment.state.laid["working", end - 1] + 2.0})
    assert world.chains(moment)["student"].hands_off == 2
    assert ("too-few-chains", "student") not in amiss(world, moment)
    assert ("too-few-chains", "student") in amiss(world, loose)


def test_a_device_that_another_holds_open_is_no_chain_where_the_hand_is_too_weak() -> None:
    one = proof()
    moment = after(one, "open descender")
    heavy = replace(moment.rig.loads["student"], mass=Range(5000.0, 5000.0, 5000.0))
    rig = replace(moment.rig, loads={"student": heavy})
    own = replace(moment, rig=rig)
    by_another = replace(own, holds=tuple((gear, "instructor") for gear, _ in own.holds))
    world = World(one.procedure, catalogue())
    texts = [" ".join(world.tried(m)["student"].why_not) for m in (own, by_another)]
    assert ["while descender is held open" in text for text in texts] == [False, True]


def test_a_back_up_clipped_to_nobody_stays_where_it_is_while_somebody_is_lowered() -> None:
    one = proof(("call change-over", "unclip backup"))
    heights = [float(played.after.state.at["backup"][2]) for played in one.steps]
    assert min(heights) > -30.0


def test_a_rope_untied_at_its_start_is_asked_about_like_any_other() -> None:
    one = proof(("call change-over", "untie working from beam"))
    assert one.steps[0].after.rig.ropes["working"].run[0].verb == "tail"
    assert one.steps[0].held["student"] == Held(1, 1, ("second",))
    assert any(d.after == "backup gone" for d in judged(one.steps[0].after).one_gone)


def test_no_step_leaves_more_rope_laid_than_there_is_anywhere() -> None:
    for number in (41, 203, 536, 938):
        for played in prove(made("2026", number).procedure, catalogue()).steps:
            assert max(played.after.state.laid.values()) < 300.0, (number, played.step.text)


def test_a_pulley_whose_gate_is_open_leaves_slack_that_an_open_device_lets_through() -> None:
    base = walking_rig(next(path for path in RIGS if path.name == "self-haul-double-and-single.rig.yaml"))
    lines = [("climber", "unlock the gate of below"), ("looker", "let off device")]
    steps = tuple(read_step(doer, text, "metric", n) for n, (doer, text) in enumerate(lines, 1))
    one = prove(replace(base, steps=steps), catalogue())
    assert [played.held["climber"].chains for played in one.steps] == [2, 1]
    assert [bool(judged(played.after).drops()) for played in one.steps] == [False, True]


def test_the_oracle_lets_one_rope_run_through_an_open_device_and_not_its_neighbour() -> None:
    moment = after(proof(), "open descender")
    run = moment.rig.ropes["working"].run
    hand = Component("hand", "working", len(run) - 1)
    sheave = next(c.sheave for c in run if c.target == "descender")
    by_another = replace(moment, holds=(("descender", "instructor"),))
    assert list(left_open(by_another, (hand,))) == [Component("sheave", "descender", sheave)]
    assert list(left_open(moment, (hand,))) == []
