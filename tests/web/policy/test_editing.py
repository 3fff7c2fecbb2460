"""Reading the form of the rules: figures in either system, bounds, sources, and what stays as it was."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest

from ropewright.rig import POLICY_KEYS
from ropewright.web.policy.editing import entered
from ropewright.web.policy.now import TeamRules, before_any
from ropewright.web.policy.shipped import GROUPS
from ropewright.web.policy.texts import laid_over, texts_of

FROM = "team standard 4"


def faults(**changed: str) -> dict[str, str]:
    base = before_any()
    return entered(texts_of(base) | named(changed), base).faults


def rule(key: str, text: str, source: str = FROM, base: TeamRules | None = None) -> object:
    base = base or before_any()
    texts = texts_of(base) | {f"rule.{key}": text, f"rule.{key}.source": source}
    read = entered(texts, base)
    assert read.faults == {}
    return read.columns["rules"][key]["value"]


def named(changed: dict[str, str]) -> dict[str, str]:
    return {key.replace("__", ".").replace("_", "-"): text for key, text in changed.items()}


def test_the_form_asks_for_every_key_of_a_rig_files_policy() -> None:
    asked = [key for _, keys in GROUPS for key in keys]
    assert sorted(asked) == sorted(set(POLICY_KEYS) - {"name", "source"})


@pytest.mark.parametrize("first", ["metric", "us"])
def test_what_is_left_as_it_was_keeps_its_very_figures(first: Literal["metric", "us"]) -> None:
    base = replace(before_any(), first=first)
    read = entered(texts_of(base), base)
    assert read.faults == {}
    assert read.columns["rules"] == base.rules
    assert read.columns["ratios"] == base.ratios
    assert read.columns["intervals"] == base.intervals
    assert (read.columns["words"], read.columns["reserve"], read.columns["retention"]) == ({}, [], {})


def test_a_force_is_read_in_either_system() -> None:
    assert rule("most-catch-force", "4 kN") == 4000.0
    assert rule("most-catch-force", "900 lbf") == pytest.approx(4003.4, abs=0.1)


def test_a_bare_force_is_refused_because_it_may_mean_either_system() -> None:
    told = faults(rule__most_catch_force="900")
    assert told == {"rule.most-catch-force": "found ‘900’ without a unit; write kN or lbf after it"}


@pytest.mark.parametrize(
    ("key", "text", "told"),
    [
        ("static-factor", "0", "found ‘0’; it is within 1–100"),
        ("static-factor", "101", "found ‘101’; it is within 1–100"),
        ("chains", "5", "found the number 5; write a whole number from 1 to 4"),
        ("chains", "1.5", "found ‘1.5’; write a whole number from 1 to 4"),
        ("brake-hand", "3 kN", "found ‘3 kN’; it is within 0–2.00 kN (0–450 lbf)"),
        (
            "most-drop",
            "2 kN",
            "a force (2 kN) where a length is wanted; a length is given in m or ft, e.g. 9 m",
        ),
        ("protect-edges", "maybe", "found ‘maybe’; write yes or no"),
        ("grades", "met", "found ‘met’; write 2 to 5 different ones with commas between them"),
        ("static-factor", "", "nothing stands here; write 10, or ‘not asked’"),
        ("brake-hand", "not asked", "the work is reckoned with this figure; write one, such as 0.209 kN"),
    ],
)
def test_a_figure_outside_what_a_rig_file_may_hold_is_told_with_what_would_be_right(
    key: str, text: str, told: str
) -> None:
    base = before_any()
    assert entered(texts_of(base) | {f"rule.{key}": text}, base).faults[f"rule.{key}"] == told


def test_a_rule_that_differs_from_the_shipped_one_needs_a_source() -> None:
    told = "say where ‘12’ comes from: a standard, an order of the team, a test"
    assert faults(rule__static_factor="12") == {"rule.static-factor.source": told}
    assert rule("static-factor", "12") == 12.0


def test_a_rule_that_is_not_asked_needs_a_source_and_is_kept_as_none() -> None:
    assert "rule.most-drop.source" in faults(rule__most_drop="not asked")
    assert rule("most-drop", "not asked") is None


def test_the_shipped_source_does_not_stand_for_another_figure() -> None:
    base = before_any()
    own = str(base.rules["static-factor"]["source"])
    texts = texts_of(base) | {"rule.static-factor": "12", "rule.static-factor.source": own}
    assert "rule.static-factor.source" in entered(texts, base).faults


def test_going_back_to_the_shipped_figure_takes_its_source_back() -> None:
    base = replace(
        before_any(), rules={**before_any().rules, "static-factor": {"value": 12.0, "source": FROM}}
    )
    texts = texts_of(base) | {"rule.static-factor": "10", "rule.static-factor.source": ""}
    assert entered(texts, base).columns["rules"]["static-factor"] == before_any().rules["static-factor"]


def test_a_hidden_character_is_refused_where_it_stands() -> None:
    assert faults(team="Tern\u200bHarbor")["team"].startswith("found the hidden character U+200B")


def test_an_unknown_time_zone_is_refused() -> None:
    assert faults(zone="Mars/Olympus")["zone"] == (
        "found ‘Mars/Olympus’; it is a time zone of the list, such as America/Halifax"
    )


def test_a_ratio_that_differs_needs_a_source_and_is_a_whole_number() -> None:
    assert "ratio.at-height.source" in faults(ratio__at_height="8")
    assert faults(ratio__at_height="0") == {
        "ratio.at-height": "found ‘0’; write a whole number from 1 to 100"
    }


def test_an_interval_of_a_type_is_added_in_a_row_of_its_own() -> None:
    base = before_any()
    row = {"more-interval.1": "cam-grab", "more-interval.1.value": "91", "more-interval.1.source": FROM}
    read = entered(texts_of(base) | row, base)
    assert read.faults == {}
    assert read.columns["intervals"]["cam-grab"] == {"days": 91, "source": FROM}
    assert read.columns["intervals"]["rope"] == base.intervals["rope"]


def test_a_row_that_is_half_filled_says_what_is_missing() -> None:
    assert faults(more_word__1="haul")["more-word.1.own"] == "write what your team calls"
    told = faults(reserve__1__count="2")
    assert told == {"reserve.1": "say which type of gear is kept"}


def test_the_reserve_takes_lengths_in_either_system() -> None:
    base = before_any()
    row = {"reserve.1": "rope-12.5-low-stretch", "reserve.1.length": "200 ft", "reserve.1.count": "2"}
    (kept,) = entered(texts_of(base) | row, base).columns["reserve"]
    assert kept == {"type": "rope-12.5-low-stretch", "length": pytest.approx(60.96), "count": 2}


def test_a_row_for_gear_that_is_called_nothing_is_refused_for_it_would_hold_nothing() -> None:
    told = faults(reserve__1="rope-12.5-low-strech", reserve__1__count="2")
    assert told["reserve.1"].startswith(
        "found ‘rope-12.5-low-strech’; no type of gear is called so; nearest are rope-12.5-low-stretch"
    )
    asked = {"more-interval.1": "moon", "more-interval.1.value": "91", "more-interval.1.source": FROM}
    base = before_any()
    assert entered(texts_of(base) | asked, base).faults == {
        "more-interval.1": "found ‘moon’; no type or family of gear is called so"
    }


def test_the_same_gear_stands_in_the_reserve_once() -> None:
    rows = {"reserve.1": "sling", "reserve.1.count": "2", "reserve.2": "sling", "reserve.2.count": "3"}
    base = before_any()
    assert entered(texts_of(base) | rows, base).faults == {
        "reserve.2": "‘sling’ of that length stands in the list already"
    }


def test_two_savers_changes_are_laid_over_each_other_field_by_field() -> None:
    begun = before_any()
    newest = replace(begun, rules={**begun.rules, "chains": {"value": 1, "source": FROM}})
    mine = texts_of(begun) | {"rule.static-factor": "12", "rule.static-factor.source": FROM}
    read = entered(laid_over(mine, begun, newest), newest)
    assert read.faults == {}
    assert read.columns["rules"]["chains"]["value"] == 1
    assert read.columns["rules"]["static-factor"]["value"] == 12.0


def test_a_row_that_both_added_is_kept_twice() -> None:
    begun = before_any()
    newest = replace(begun, reserve=({"type": "lower-raise-device", "length": None, "count": 2},))
    mine = texts_of(begun) | {"reserve.1": "cam-grab", "reserve.1.count": "3"}
    kept = entered(laid_over(mine, begun, newest), newest).columns["reserve"]
    assert [row["type"] for row in kept] == ["lower-raise-device", "cam-grab"]
