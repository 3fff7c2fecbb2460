"""Reading what was entered into the form of the rules: every fault at its own field."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from ropewright.quantity import Kind, QuantityError, System, read_quantity
from ropewright.rig import POLICY_KEYS, PolicyValue, read_rule
from ropewright.rig.yamltext import hidden_character
from ropewright.web.gear.kinds import kinds, words_for_gear
from ropewright.web.policy.now import TeamRules
from ropewright.web.policy.shipped import (
    GROUPS,
    INTERVALS,
    RATIOS,
    RECORDS,
    WORDS,
    Given,
    shipped_rules,
    shipped_source,
)
from ropewright.web.policy.telling import NOT_ASKED
from ropewright.web.policy.texts import UNIT, figure_text, row_numbers, value_text
from ropewright.web.policy.zones import zone_names

__all__ = ["LONGEST", "Entered", "entered"]

LONGEST = 200
MOST_DAYS = 36_525
MUST_STAND = frozenset({"brake-hand", "hauler-pull", "reach-on-rope", "reach-standing"})
"""Figures that the work is reckoned with: without one, nothing can be said, so it can't be left out."""


@dataclass(slots=True)
class Entered:
    """What was entered: the columns of a version, and by field what is wrong."""

    columns: dict[str, Any] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)


def entered(texts: Mapping[str, str], base: TeamRules) -> Entered:
    """Read a form that began from the version ``base``; a field left as it was keeps its very figure."""
    return _Reading(texts, base).read()


class _Reading:
    """One pass over the fields of a form."""

    def __init__(self, texts: Mapping[str, str], base: TeamRules) -> None:
        self.texts, self.base, self.out = texts, base, Entered()

    def read(self) -> Entered:
        c = self.out.columns
        c["team"], c["name"] = self._words("team", needed=True), self._words("name", needed=True)
        c["edition"] = self._words("edition", longest=160)
        c["zone"] = self._one_of("zone", zone_names(), "a time zone of the list, such as America/Halifax")
        c["units"] = self._one_of("units", ("metric", "us"), "metric or us")
        c["rules"] = {key: rule for _, keys in GROUPS for key in keys if (rule := self._rule(key))}
        c["ratios"] = self._counted("ratio", RATIOS, "students", 100)
        c["intervals"] = self._counted("interval", INTERVALS, "days", MOST_DAYS)
        c["retention"] = self._counted("record", RECORDS, "years", 100)
        c["words"], c["reserve"] = self._own_words(), self._reserve()
        return self.out

    def _words(self, name: str, *, needed: bool = False, longest: int = 120) -> str:
        text = " ".join(self.texts.get(name, "").split())
        if hidden := hidden_character(text):
            self.out.faults[name] = f"found the hidden character {hidden}; take it out"
        elif len(text) > longest:
            self.out.faults[name] = f"found {len(text)} characters; {longest} at most"
        elif needed and not text:
            self.out.faults[name] = "nothing stands here; write it in words"
        return text

    def _one_of(self, name: str, known: tuple[str, ...], right: str) -> str:
        text = self._words(name)
        if text not in known:
            self.out.faults[name] = f"found ‘{text[:40]}’; it is {right}"
        return text

    def _rule(self, key: str) -> dict[str, Any] | None:
        name = f"rule.{key}"
        text, source = self._words(name, longest=LONGEST), self._words(f"{name}.source", longest=LONGEST)
        shipped = shipped_rules().get(key, {}).get("value")
        stored = self.base.rules.get(key, {}).get("value")
        if name in self.out.faults:
            return None
        try:
            value = stored if text == value_text(key, stored, self.base.first) else _read_value(key, text)
        except QuantityError as error:
            self.out.faults[name] = _as_typed(error)
            return None
        if _alike(key, value, shipped):
            value, source = shipped, source or shipped_source(key)
        elif not source or source == shipped_source(key):
            self._no_source(f"{name}.source", text)
        return None if value is None and shipped is None else {"value": value, "source": source}

    def _no_source(self, name: str, text: str) -> None:
        self.out.faults.setdefault(
            name, f"say where ‘{text[:40]}’ comes from: a standard, an order of the team, a test"
        )

    def _count(self, name: str, most: int) -> int | None:
        text = self._words(name)
        if not text or text.lower() == NOT_ASKED:
            return None
        if not (text.isascii() and text.isdecimal()) or not 1 <= int(text[:9]) <= most:
            self.out.faults[name] = f"found ‘{text[:40]}’; write a whole number from 1 to {most}"
            return None
        return int(text)

    def _counted(
        self,
        name: str,
        given: tuple[Given, ...],
        unit: str,
        most: int,
    ) -> dict[str, dict[str, Any]]:
        out: dict[str, dict[str, Any]] = {}
        for each in given:
            at = f"{name}.{each.key}"
            value, source = self._count(at, most), self._words(f"{at}.source", longest=LONGEST)
            if value == each.value:
                source = source or each.source
            elif at not in self.out.faults and (not source or source == each.source):
                self._no_source(f"{at}.source", self.texts.get(at, "").strip() or NOT_ASKED)
            if value is not None or each.value is not None:
                out[each.key] = {unit: value, "source": source}
        for n in row_numbers(self.texts, f"more-{name}"):
            at = f"more-{name}.{n}"
            key = self._words(at, longest=60)
            value, source = self._count(f"{at}.value", most), self._words(f"{at}.source", longest=LONGEST)
            if not key and value is None and not source:
                continue
            self._row_is_whole(at, key, {**dict.fromkeys(g.key for g in given), **out})
            if name == "interval":
                self._is_gear(at, key, words_for_gear(), "type or family of gear")
            if value is None:
                self.out.faults.setdefault(f"{at}.value", f"write a whole number from 1 to {most}")
            if not source:
                self._no_source(f"{at}.source", str(value or ""))
            out[key] = {unit: value, "source": source}
        return out

    def _is_gear(self, at: str, text: str, known: Collection[str], what: str) -> None:
        """Refuse a word that nothing in the cache is called: its row would hold for nothing."""
        if text and text not in known:
            near = get_close_matches(text.casefold(), sorted(known), n=3)
            hint = f"; nearest are {', '.join(near)}" if near else ""
            self.out.faults.setdefault(at, f"found ‘{text[:40]}’; no {what} is called so{hint}")

    def _row_is_whole(self, at: str, key: str, known: Mapping[str, object]) -> None:
        if not key:
            self.out.faults.setdefault(at, "say what this row is for")
        elif key in known:
            self.out.faults.setdefault(at, f"‘{key}’ stands in the list already; change it there")

    def _own_words(self) -> dict[str, str]:
        out = {key: own for key, _ in WORDS if (own := self._words(f"word.{key}", longest=60))}
        for n in row_numbers(self.texts, "more-word"):
            at = f"more-word.{n}"
            key, own = self._words(at, longest=40), self._words(f"{at}.own", longest=60)
            if not key and not own:
                continue
            self._row_is_whole(at, key, {**dict(WORDS), **out})
            if not own:
                self.out.faults.setdefault(f"{at}.own", "write what your team calls")
            out[key] = own
        return out

    def _reserve(self) -> list[dict[str, Any]]:
        out: list[dict[str, Any]] = []
        for n in row_numbers(self.texts, "reserve"):
            at = f"reserve.{n}"
            kind, count = self._words(at, longest=60), self._count(f"{at}.count", 1000)
            length = self._length(f"{at}.length", n)
            if not kind and count is None and length is None:
                continue
            if not kind:
                self.out.faults.setdefault(at, "say which type of gear is kept")
            self._is_gear(at, kind, kinds(), "type of gear")
            if any((kind, length) == (row["type"], row["length"]) for row in out):
                self.out.faults.setdefault(at, f"‘{kind}’ of that length stands in the list already")
            if count is None:
                self.out.faults.setdefault(f"{at}.count", "write how many are kept, from 1 to 1000")
            out.append({"type": kind, "length": length, "count": count})
        return out

    def _length(self, name: str, n: int) -> float | None:
        text = self._words(name)
        if not text:
            return None
        stored = self.base.reserve[n - 1].get("length") if n <= len(self.base.reserve) else None
        if text == figure_text(stored, "length", self.base.first):
            return None if stored is None else float(stored)
        try:
            found = read_quantity(_with_unit(text, "length"), "length", sign="above-zero")
        except QuantityError as error:
            self.out.faults[name] = _as_typed(error)
            return None
        if not found.is_single or found.likely > 1000:
            self.out.faults[name] = f"found ‘{text[:40]}’; write one length up to 1000 m (3281 ft)"
        return found.likely


def _read_value(key: str, text: str) -> PolicyValue | None:
    """Read one rule as it was written. Errors: QuantityError."""
    rule = POLICY_KEYS[key]
    if text.lower() == NOT_ASKED:
        if key in MUST_STAND:
            raise QuantityError(f"the work is reckoned with this figure; write one, such as {_example(key)}")
        return None
    if not text:
        raise QuantityError(f"nothing stands here; write {_example(key)}, or ‘{NOT_ASKED}’")
    if rule.kind == "yes-no":
        if text.lower() not in ("yes", "no"):
            raise QuantityError(f"found ‘{text[:40]}’; write yes or no")
        return text.lower() == "yes"
    if rule.kind == "count" and text.isascii() and text.isdecimal():
        return read_rule(int(text[:9]), rule, "metric", "both")
    if rule.kind in ("force", "length"):
        text = _with_unit(text, rule.kind)
    return read_rule(text, rule, "metric", "both")


def _as_typed(error: QuantityError) -> str:
    """A fault of a figure as it is told on a page: no marks of a file round what was typed."""
    return re.sub(r"`([^`]*)`", r"‘\1’", str(error))


def _with_unit(text: str, kind: Kind) -> str:
    """A figure that names its unit. Errors: QuantityError; a bare number may mean either system."""
    if not any(c.isalpha() or c in "'\"" for c in text):
        metric, us = UNIT[kind, "metric"], UNIT[kind, "us"]
        raise QuantityError(f"found ‘{text[:40]}’ without a unit; write {metric} or {us} after it")
    return text


def _example(key: str) -> str:
    value = shipped_rules().get(key, {}).get("value")
    if value is None:
        kind = POLICY_KEYS[key].kind
        return {"force": "4 kN", "length": "2 m", "words": "met, not met", "count": "6"}.get(kind, "5")
    return value_text(key, value, "metric")


def _alike(key: str, a: PolicyValue | None, b: PolicyValue | None) -> bool:
    """Whether two values are the same as people write them, in either system."""
    if a is None or b is None or isinstance(a, bool | str):
        return a == b
    systems: tuple[System, ...] = ("metric", "us")
    return any(value_text(key, a, system) == value_text(key, b, system) for system in systems)
