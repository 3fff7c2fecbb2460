"""Which rules a rig's own text states instead of the team's, and which way they lean."""

from __future__ import annotations

import pytest

from ropewright.judgement.own_rules import mark_of, own_rules, said_of, told
from ropewright.rig import TeamPolicy
from ropewright.web.demo.rigs import example_texts
from ropewright.web.policy.now import TeamRules, shipped_rules
from ropewright.web.workings.engine import own_rules_told, read_for_team

HAUL = dict(example_texts(".rig.yaml"))["haul-3-1"].replace(", pull: 0.2", "")
"""The example without a pull of its own, which is a rule of its own too."""


def _with(policy: str, team: dict[str, object] | None = None) -> list[tuple[str, str, str]]:
    text = f"{HAUL}\npolicy: {policy}\n"
    rules = shipped_rules() | {key: {"value": value, "source": ""} for key, value in (team or {}).items()}
    read = read_for_team(text, TeamRules(number=2, rules=rules))
    assert isinstance(read.team, TeamPolicy)
    return [(rule.key, rule.said, rule.way) for rule in own_rules(read)]


def test_a_lower_factor_is_told_with_what_the_team_asks() -> None:
    assert _with("{static-factor: 2}") == [
        ("static-factor", "static-factor 2, the team asks 10 (looser)", "looser")
    ]


@pytest.mark.parametrize(
    ("policy", "said"),
    [
        ("{static-factor: 12}", "static-factor 12, the team asks 10 (stricter)"),
        ("{most-drop: 2 m}", "most-drop 2 m (6.6 ft), the team allows 1 m (3.3 ft) (looser)"),
        ("{most-drop: 0.5 m}", "most-drop 0.5 m (1.6 ft), the team allows 1 m (3.3 ft) (stricter)"),
        ("{protect-edges: false}", "protect-edges no, the team asks for it (looser)"),
        ("{chains: 1}", "chains 1, the team asks 2 (looser)"),
        ("{grab-factor: 4}", "grab-factor 4, the team asks 10 as of every part (looser)"),
        ("{rope-reserve: 5 m}", "rope-reserve 5 m (16.4 ft), the team has no such rule (stricter)"),
        (
            "{hauler-pull: 300 N}",
            "hauler-pull 0.30 kN (67 lbf), the team counts on 0.13 kN (30 lbf) (looser)",
        ),
    ],
)
def test_each_rule_is_looser_or_stricter_by_what_it_lets_through(policy: str, said: str) -> None:
    assert [words for _, words, _ in _with(policy)] == [said]


def test_a_rule_that_says_the_same_is_no_rule_of_its_own() -> None:
    assert _with("{static-factor: 10, most-drop: 100 cm, name: Another, source: somewhere}") == []


def test_the_teams_own_figure_is_what_counts_not_the_shipped_one() -> None:
    assert _with("{static-factor: 10}", {"static-factor": 12.0})[0][1] == (
        "static-factor 10, the team asks 12 (looser)"
    )
    assert _with("{grab-factor: 4}", {"grab-factor": 4.0}) == []


def test_words_lean_no_way() -> None:
    assert _with('{grades: "done, not done"}')[0][2] == ""


def test_the_mark_says_looser_as_soon_as_one_rule_is() -> None:
    def mark(policy: str) -> str:
        text = f"{HAUL}\npolicy: {policy}\n"
        return said_of(read_for_team(text, TeamRules(rules=shipped_rules())))["mark"]

    assert mark("{static-factor: 2}") == "own rules, looser"
    assert mark("{static-factor: 2, chains: 3}") == "own rules, some looser"
    assert mark("{chains: 3}") == "own rules, stricter"
    assert mark('{grades: "a, b"}') == "own rules"
    assert mark_of(()) == ""
    assert told(()) == ""


def test_the_shipped_ascent_tells_its_two_rules() -> None:
    text = dict(example_texts(".rig.yaml"))["tower-day-ascent"]
    assert own_rules_told(text, TeamRules(rules=shipped_rules())) == (
        "rope-reserve 9.14 m (30 ft), the team has no such rule (stricter); "
        "grab-factor 4, the team asks 10 as of every part (looser)"
    )
