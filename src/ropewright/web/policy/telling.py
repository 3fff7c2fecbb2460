"""The team's rules in words: every line of them with its source, and what differs between two versions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ropewright.judgement.own_rules import NOT_ASKED, shown_value
from ropewright.quantity import Units, show_length
from ropewright.rig import POLICY_KEYS
from ropewright.sheets.skill_sheet import GRADES
from ropewright.web.policy.now import TeamRules
from ropewright.web.policy.shipped import GROUPS, INTERVALS, RATIOS, RECORDS, WORDS, Given, shipped_rules

__all__ = ["NOT_ASKED", "Difference", "Line", "differences", "lines", "rule_words", "shown_value"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the rules. ``value`` is what is compared, ``shown`` what people read; ``own``: it differs
    from what a team begins with.
    """

    group: str
    key: str
    words: str
    value: Any
    shown: str
    source: str = ""
    about: str = ""
    own: bool = False


@dataclass(frozen=True, slots=True)
class Difference:
    """What one line says before and after, and where the later figure comes from."""

    group: str
    words: str
    before: str
    after: str
    source: str


def rule_words(key: str) -> str:
    """The name of a rule for people."""
    return key.replace("-", " ").capitalize()


def lines(rules: TeamRules, units: Units = "both") -> tuple[Line, ...]:
    """Everything that a version says, in the order of its page."""
    return (
        *_team(rules),
        *_rules(rules, units),
        *_counted("Students for one instructor", RATIOS, rules.ratios, "students", "{} for one instructor"),
        *_counted("Inspection and life", INTERVALS, rules.intervals, "days", "{} days"),
        *_reserve(rules, units),
        *_words(rules),
        *_counted("How long records are kept", RECORDS, rules.retention, "years", "{} years", "for good"),
    )


def differences(before: TeamRules, after: TeamRules, units: Units = "both") -> tuple[Difference, ...]:
    """What a later version says otherwise than an earlier one; empty where nothing."""
    old = {(line.group, line.key): line for line in lines(before, units)}
    new = {(line.group, line.key): line for line in lines(after, units)}
    out = []
    for key in dict.fromkeys((*old, *new)):
        a, b = old.get(key), new.get(key)
        known = b or a
        assert known is not None
        if a and b and (a.value, a.source) == (b.value, b.source):
            continue
        was, now = (a.shown if a else "nothing"), (b.shown if b else "nothing")
        if a and b and a.value == b.value:
            was, now = f"{was} (source: {a.source or 'none'})", f"{now} (source: {b.source or 'none'})"
        out.append(Difference(known.group, known.words, was, now, b.source if b else ""))
    return tuple(out)


def _team(rules: TeamRules) -> Iterator[Line]:
    first = "US units" if rules.first == "us" else "metric units"
    for key, words, value in (
        ("team", "The team's name", rules.team),
        ("name", "What this policy is called", rules.name),
        ("edition", "Standard and its edition", rules.edition or "not stated"),
        ("zone", "Time zone", rules.zone),
        ("units", "Shown first", first),
    ):
        yield Line("The team", key, words, value, value)


def _rules(rules: TeamRules, units: Units) -> Iterator[Line]:
    shipped = shipped_rules()
    for group, keys in GROUPS:
        for key in keys:
            rule = rules.rules.get(key, {})
            value, about = rule.get("value"), POLICY_KEYS[key].about
            own = value != shipped.get(key, {}).get("value")
            shown = shown_value(key, value, units)
            if key == "grades" and value is None:
                shown = ", ".join(GRADES)
            yield Line(
                group,
                key,
                rule_words(key),
                value,
                shown,
                str(rule.get("source", "")),
                about[:1].upper() + about[1:],
                own,
            )


def _counted(
    group: str,
    given: tuple[Given, ...],
    stated: Mapping[str, Mapping[str, Any]],
    unit: str,
    told: str,
    without: str = NOT_ASKED,
) -> Iterator[Line]:
    known = {each.key: each for each in given}
    for key in dict.fromkeys((*known, *stated)):
        entry, begun = stated.get(key, {}), known.get(key)
        value = entry.get(unit)
        shown = without if value is None else told.format(value)
        words = begun.words if begun else key
        own = value != (begun.value if begun else None)
        yield Line(
            group, key, words[:1].upper() + words[1:], value, shown, str(entry.get("source", "")), "", own
        )


def _reserve(rules: TeamRules, units: Units) -> Iterator[Line]:
    for kept in rules.reserve:
        length = kept.get("length")
        long = f" of {show_length(length, units)} or more" if length else ""
        key = f"{kept['type']} {length or 0:g}"
        yield Line(
            "Kept on the rig", key, str(kept["type"]), kept["count"], f"{kept['count']}{long}", "", "", True
        )


def _words(rules: TeamRules) -> Iterator[Line]:
    about = dict(WORDS)
    for key in dict.fromkeys((*about, *rules.words)):
        own = rules.words.get(key, "")
        shown = f"“{own}”" if own else "the trade's word"
        yield Line("What is called", key, key, own, shown, "", about.get(key, ""), bool(own))
