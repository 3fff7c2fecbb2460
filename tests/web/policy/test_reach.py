"""The team's rules reach the check, the proof and the sheets, and are named on what is printed."""

from __future__ import annotations

import pytest

from ropewright.drawing import draw_rig
from ropewright.judgement.examine import examine
from ropewright.procedure import World, prove, read_procedure
from ropewright.sheets import card_of
from ropewright.sheets.skill_sheet import skill_sheet
from ropewright.sheets.telling import Story
from ropewright.web.demo.rigs import example_texts
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import TeamRules, forget_rules, rules_now
from ropewright.web.policy.saving import KEPT, first_version
from ropewright.web.workings.engine import catalogue, check_rig, read_for_team, summary_of

# One strand on one bolt: 20 kN over 1.77 kN is a factor of 11.3.
HANGING = """
rig: A load on one bolt
points: {bolt: {kind: anchor, at: [0, 9], strength: 20 kN}, floor: {kind: ground, at: [0, 0]}}
loads: {weight: {kind: object, mass: 180, at: [0, 3]}}
ropes: {line: {is: rope-12.5-low-stretch, length: 12, run: [tie weight with bowline, tie bolt with bowline]}}
assume: {rope-12.5-low-stretch: {mass: 0, strength: 60 kN}}
"""


@pytest.fixture
def stricter(db: None) -> TeamRules:
    first = first_version("Tern Harbor rescue team", "UTC", "metric", None)
    columns = {key: getattr(first, key) for key in KEPT}
    columns["rules"] = first.rules | {
        "static-factor": {"value": 12.0, "source": "team standard 4"},
        "grades": {"value": "sound, nearly, repeat", "source": "team standard 4"},
    }
    PolicyVersion.objects.create(number=2, **columns)
    return rules_now()


def weak(text: str, rules: TeamRules) -> list[str]:
    found = check_rig(read_for_team(text, rules), rules).findings
    return [each.text for each in found if "bolt" in each.text and each.level == "stop"]


def test_a_stricter_static_factor_changes_the_verdict(stricter: TeamRules) -> None:
    first = TeamRules(rules={**stricter.rules, "static-factor": {"value": 10.0, "source": "shipped"}})
    assert weak(HANGING, first) == []
    (told,) = weak(HANGING, stricter)
    assert "12" in told


def test_the_page_names_the_policy_and_its_version(stricter: TeamRules) -> None:
    policy = summary_of(HANGING)["report"]["policy"]
    assert policy["told"] == "Tern Harbor rescue team policy, version 2"
    (rule,) = [rule for rule in policy["rules"] if rule["rule"] == "static-factor"]
    assert rule == {"rule": "static-factor", "value": 12.0, "source": "team standard 4"}


def test_a_new_version_is_not_answered_from_what_an_older_one_was(stricter: TeamRules) -> None:
    before = summary_of(HANGING)
    columns = {key: getattr(PolicyVersion.objects.get(number=1), key) for key in KEPT}
    PolicyVersion.objects.create(number=3, **columns)
    forget_rules()
    assert summary_of(HANGING)["report"]["policy"]["told"].endswith("version 3")
    assert summary_of(HANGING)["stops"] < before["stops"]


def test_a_rule_of_the_rig_file_wins_and_the_page_says_so(stricter: TeamRules) -> None:
    own = HANGING + "policy: {static-factor: 8}\n"
    assert weak(own, stricter) == []
    told = summary_of(own)["report"]["policy"]["told"]
    assert told == "Tern Harbor rescue team policy, version 2 with the file's own static-factor"


def test_the_card_names_the_policy_and_its_version(stricter: TeamRules) -> None:
    rig = read_for_team(HANGING)
    examination = examine(rig, catalogue())
    picture = draw_rig(rig, catalogue(), examination, units=stricter.units)
    card = card_of(examination, picture, file="hanging", time="2026-05-04 09:30", units=stricter.units)
    assert card.policy.startswith("Tern Harbor rescue team policy, version 2: ")


def test_a_proof_and_its_skill_sheet_are_by_the_teams_rules(stricter: TeamRules) -> None:
    texts = dict(example_texts(".rig.yaml"))
    text = dict(example_texts(".procedure.yaml"))["ascent-to-descent"]
    procedure = read_procedure(
        text, catalogue(), lambda name: read_for_team(texts[name.removesuffix(".rig.yaml")], stricter)
    )
    world = World(procedure, catalogue())
    assert world.policy.number("static-factor") == 12.0
    proof = prove(procedure, catalogue(), world, failing=False)
    sheet = skill_sheet(Story(proof, world, "file", "2026-05-04 09:30"))
    assert "Tern Harbor rescue team policy, version 2" in sheet.judged
    steps = sheet.block("steps")
    assert steps is not None
    assert ("sound", "nearly", "repeat") in {row.boxes for row in steps.steps}
