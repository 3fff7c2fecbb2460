"""Skill sheet, briefing and check: what is marked, by which grades, what is critical, what is put back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from ropewright.procedure import Fault, Proof
from ropewright.procedure.reset import reset
from ropewright.rig import RigFileError, TeamPolicy
from ropewright.sheets.brief import brief
from ropewright.sheets.leaf_text import leaf_text
from ropewright.sheets.skill_sheet import candidates, grades, skill_sheet
from ropewright.sheets.station_check import station_check

from .stories import NAMES, WRONG, leaf, made, story


@pytest.mark.parametrize("name", NAMES)
def test_critical_steps_have_their_reason_and_stand_in_the_rule(name: str) -> None:
    sheet, critical = leaf(name, "skill-sheet"), story(name).critical
    steps, rules = sheet.block("steps"), sheet.block("rules")
    assert steps is not None
    assert rules is not None
    said = {int(s.number): s.critical for s in steps.steps if s.critical}
    assert set(said) == set(critical)
    for n, text in said.items():
        assert text.startswith("Fail if ")
        assert text.endswith(critical[n].partition(": ")[2])
    assert ", ".join(map(str, sorted(critical))) in rules.lines[0].text


@pytest.mark.parametrize("name", NAMES)
def test_the_candidate_is_marked_and_others_are_ticked(name: str) -> None:
    marked = candidates(story(name).procedure)
    steps = leaf(name, "skill-sheet").block("steps")
    assert steps is not None
    for step in steps.steps:
        ticked = (
            ("seen",)
            if step.text.startswith(("check ", "inch-test ", "whistle ", "critical-"))
            else ("done",)
        )
        assert step.boxes == (("met", "not met") if step.doer in marked else ticked)


def test_who_marks_is_not_marked_where_nobody_is_called_a_candidate(tmp_path: Path) -> None:
    told = made(tmp_path, WRONG.replace("student: {role: candidate}", "student: {}"))
    assert candidates(told.procedure) == ("student",)
    steps = skill_sheet(told).block("steps")
    assert steps is not None
    [check] = [s for s in steps.steps if s.doer == "instructor"]
    assert check.boxes == ("seen",)


def test_what_stops_it_stands_on_the_sheet_where_it_is_marked(tmp_path: Path) -> None:
    given = skill_sheet(made(tmp_path, WRONG + "stop-when: [wind, dark]\n")).block("given")
    assert given is not None
    assert [line.text for line in given.lines if line.lead == "Stop when:"] == ["wind", "dark"]


def test_a_critical_step_says_what_fails_it(tmp_path: Path) -> None:
    told = replace(made(tmp_path, WRONG), critical={3: "swapped: it falls", 5: "wrong way round: it slips"})
    steps = skill_sheet(told).block("steps")
    assert steps is not None
    assert steps.steps[2].critical == "Fail if done before step 2: it falls"
    assert steps.steps[4].critical == "Fail if on the wrong way round: it slips"


def test_a_starting_rig_that_nobody_rated_is_told_under_the_head(tmp_path: Path) -> None:
    told = story("ascent-to-descent")
    assert skill_sheet(told).verdict == "NO STEP REFUSED; 2 CHECKS MISSING"
    open_ = Fault("open", "working", "refused", "working: STRENGTH NOT STATED", "state it")
    proof = SimpleNamespace(
        **{k: getattr(told.proof, k) for k in ("procedure", "start_faults", "steps", "end", "start")},
        start_held=told.proof.start_held,
        rig_faults=(open_,),
        proved=False,
    )
    sheet = skill_sheet(replace(told, proof=cast(Proof, proof)))
    assert sheet.verdict == "NOT PROVED"
    assert [line.text for line in sheet.wrong] == ["working: STRENGTH NOT STATED"]
    assert "the starting rig" in sheet.judged
    assert "REFUSED: working: STRENGTH NOT STATED -> state it" in leaf_text(sheet)


def test_the_policy_names_the_grades(tmp_path: Path) -> None:
    told = made(tmp_path, WRONG + "policy: {grades: 'met, partly, not met'}\n")
    assert grades(told.procedure) == ("met", "partly", "not met")
    steps = skill_sheet(told).block("steps")
    assert steps is not None
    assert steps.steps[0].boxes == ("met", "partly", "not met")


def test_the_teams_policy_names_the_grades_where_the_file_names_none(tmp_path: Path) -> None:
    team = TeamPolicy(
        "Tern Harbor policy, version 2", {"grades": ("sound, nearly, repeat", "team standard 4")}
    )
    told = made(tmp_path, WRONG)
    of_team = replace(told.procedure, rig=replace(told.procedure.rig, team=team))
    assert grades(of_team) == ("sound", "nearly", "repeat")
    own = made(tmp_path, WRONG + "policy: {grades: 'met, partly, not met'}\n").procedure
    assert grades(replace(own, rig=replace(own.rig, team=team))) == ("met", "partly", "not met")


def test_the_sheet_names_the_teams_policy_by_which_it_was_proved(tmp_path: Path) -> None:
    told = made(tmp_path, WRONG)
    team = TeamPolicy("Tern Harbor policy, version 2", {"chains": (2, "team standard 4")})
    procedure = replace(told.procedure, rig=replace(told.procedure.rig, team=team))
    sheet = skill_sheet(replace(told, proof=replace(told.proof, procedure=procedure)))
    assert ", and by Tern Harbor policy, version 2 with the file's own grab-factor: " in sheet.judged


@pytest.mark.parametrize("words", ["met", "a, b, c, d, e, f", "met, met", "met,", f"met, {'x' * 30}"])
def test_grades_that_are_none_are_told(words: str, tmp_path: Path) -> None:
    with pytest.raises(RigFileError, match=r"policy\.grades: found"):
        made(tmp_path, WRONG + f"policy: {{grades: '{words}'}}\n")


def test_what_nobody_stated_is_said_to_be_missing_or_left_to_be_written(tmp_path: Path) -> None:
    told = made(tmp_path, WRONG)
    given, head = skill_sheet(told).block("given"), skill_sheet(told).block("head")
    assert given is not None
    assert head is not None
    assert given.lines[0].text == "CONDITIONS NOT STATED"
    assert any("does not coach" in line.text for line in given.lines)
    labels = [b.label for row in head.blanks for b in row]
    assert labels[:4] == ["team", "level", "standard and edition", "candidate"]


def test_words_of_the_team_are_called(tmp_path: Path) -> None:
    told = made(tmp_path, WRONG + "words: {change-over: going over, stop: hold hard}\nstop-when: [wind]\n")
    sheet = brief(told)
    calls, stops, steps = sheet.block("calls"), sheet.block("stops"), sheet.block("steps")
    assert calls is not None
    assert stops is not None
    assert steps is not None
    assert ("“going over”", "change-over", "student", "1") in calls.table
    assert ("“hold hard”", "stop", "anybody", "any") in calls.table
    assert stops.lines[0].text == "wind"
    assert "Anybody may call stop" in stops.lines[1].text
    assert steps.steps[0].text == "call change-over: “going over”"


def test_the_worst_moment_is_said_before_it_begins(tmp_path: Path) -> None:
    start = brief(made(tmp_path, WRONG)).block("start")
    assert start is not None
    worst = [line for line in start.lines if line.lead == "student, at the worst:"]
    assert worst
    assert worst[0].strong
    [fine] = [
        x for x in (leaf("ascent-to-descent", "brief").block("start") or start).lines if "held" in x.lead
    ]
    assert fine.text == "2 chains at every step, 2 with hands off"


@pytest.mark.parametrize("name", NAMES)
def test_each_thing_to_put_back_is_a_row_with_a_box(name: str) -> None:
    told = story(name)
    block, start = leaf(name, "check").block("reset"), leaf(name, "check").block("start")
    assert block is not None
    todo = reset(told.proof.start, told.proof.end, told.world.catalogue)
    before = [t.text for t in todo if t.kind != "start"]
    assert sorted(row.how for row in block.checks) == sorted(before)
    assert [r.how for r in (start.checks if start else ())] == [t.text for t in todo if t.kind == "start"]
    assert "before the next person is on it" in block.after[-1].text


@pytest.mark.parametrize("name", NAMES)
def test_the_check_touches_every_contact_of_the_starting_rig(name: str) -> None:
    block = leaf(name, "check").block("check")
    assert block is not None
    said = " ".join(row.what for row in block.checks)
    for rope in story(name).procedure.rig.ropes.values():
        for contact in rope.run:
            assert contact.target is None or contact.target in said


def test_a_refused_procedure_says_so_at_the_reset(tmp_path: Path) -> None:
    sheet = station_check(made(tmp_path, WRONG))
    block = sheet.block("reset")
    assert sheet.verdict == "NOT PROVED"
    assert block is not None
    assert any("refused" in line.text for line in block.lines)
