"""Whose rules are in force: the rig file's own over the team's over the shipped ones."""

from __future__ import annotations

from ropewright.judgement.policy import Policy
from ropewright.rig import PolicyValue, Rig, TeamPolicy

TEAM = TeamPolicy(
    "Tern Harbor policy, version 3",
    {"static-factor": (12.0, "team standard 4"), "most-drop": (None, "left to the lead instructor")},
)


def policy(own: dict[str, PolicyValue] | None = None, team: TeamPolicy | None = None) -> Policy:
    return Policy(Rig(rig="any", policy=own or {}, team=team))


def test_the_teams_rules_stand_over_the_shipped_ones() -> None:
    found = policy(team=TEAM)
    assert found.number("static-factor") == 12.0
    assert found.rules["static-factor"].source == "team standard 4"
    assert found.number("chains") == 2
    assert found.told == "Tern Harbor policy, version 3"


def test_what_the_team_does_not_ask_for_is_not_asked_for() -> None:
    assert policy().number("most-drop") == 1.0
    assert policy(team=TEAM).number("most-drop") is None


def test_the_files_own_rule_wins_over_the_teams_and_is_told() -> None:
    found = policy({"static-factor": 8.0}, TEAM)
    assert found.number("static-factor") == 8.0
    assert found.told == "Tern Harbor policy, version 3 with the file's own static-factor"


def test_a_policy_named_in_the_file_is_told_before_the_teams() -> None:
    found = policy({"name": "County order 7", "static-factor": 8.0}, TEAM)
    assert found.name == "County order 7"
    assert found.told == "County order 7, the rig file's own, before Tern Harbor policy, version 3"


def test_without_a_team_the_shipped_policy_is_told_with_what_the_file_states() -> None:
    assert policy().told == "the shipped policy"
    assert policy({"chains": 1}).told == "the shipped policy with the file's own chains"
    assert policy({"name": "County order 7", "chains": 1}).told == "County order 7"


def test_what_only_the_shipped_policy_says_is_not_stated() -> None:
    assert not policy().stated("hauler-pull")
    assert policy({"hauler-pull": 200.0}).stated("hauler-pull")
    assert policy(team=TEAM).stated("static-factor")
