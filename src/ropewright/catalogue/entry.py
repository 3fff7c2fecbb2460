"""One table of a catalogue file made into a gear type, with every fault noted."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from typing import Any, get_args

from ropewright.catalogue.model import (
    CONFIDENCE,
    FAMILIES,
    Family,
    Figure,
    FigureKey,
    GearType,
    Holding,
    did_you_mean,
    figure_key,
)
from ropewright.quantity import QuantityError, Range, read_quantity, show_range

__all__ = ["TypeReader"]

_NAME = re.compile(r"[a-z][a-z0-9.-]{0,59}")
_RULES = {field.name.replace("_", "-"): field.name for field in fields(Holding)}
_FAMILIES: tuple[Family, ...] = get_args(Family)
_PLAIN_KEYS = ("family", "like", "summary", "sheaves", "holding")
_FIGURE_PARTS = ("value", "source", "confidence", "note")
_MOST_SHEAVES = 12
_LONGEST_TEXT = 500

ASSUMED = "planning assumption of Ropewright; no published figure was found"


class TypeReader:
    """Reads tables into types and gathers the faults in `faults` instead of stopping at the first.

    sources: citations by key, for the shipped files. own_file: the name of a team's file, whose figures may
    name their source in free words and count as stated by the team.
    """

    def __init__(self, sources: Mapping[str, str], own_file: str | None = None) -> None:
        self._sources = sources
        self._own_file = own_file
        self._broken: set[str] = set()  # names whose own fault is told; what is like them is left alone
        self.faults: list[str] = []

    def read_all(self, tables: Mapping[str, Any], base: Mapping[str, GearType]) -> list[GearType]:
        """Return the types that could be read; `base` holds those that tables may change or be like."""
        order, rings = _reading_order(tables)
        known, read = dict(base), dict[str, GearType]()
        told: dict[str, list[str]] = {}
        earlier, self.faults = self.faults, []
        for name in order:
            kind = self._ring(name, rings[name]) if name in rings else self._read(name, tables[name], known)
            if kind is None:
                self._broken.add(name)
            else:
                known[name] = read[name] = kind
            told[name], self.faults = self.faults, []
        self.faults = [*earlier, *(fault for name in tables for fault in told[name])]
        return [read[name] for name in tables if name in read]

    def _ring(self, name: str, ring: tuple[str, ...]) -> GearType | None:
        if name == ring[0]:  # told once, where the file meets it first
            words = [*(word[:60] for word in ring[:8]), *(["…"] if len(ring) > 8 else []), name[:60]]
            chain = " is like ".join(words)
            self._fault(name, f"'like' goes round in a ring: {chain}; give one of them a family instead")
        return None

    def _read(self, name: str, table: Any, known: Mapping[str, GearType]) -> GearType | None:
        if not _NAME.fullmatch(name):
            self._fault(name, "a type's name has small letters, digits, points and dashes, at most 60")
            return None
        if not isinstance(table, dict):
            self._fault(name, f"found a plain value where a table is wanted, such as [{name}]")
            return None
        like = self._like(name, table, known)
        table, pointed = _without_pointed(table)
        for key in pointed:
            self._fault(name, f'a name with a point in it stands in quotes, as in ["{name}.{key[:40]}"]')
        if pointed and not table and like is None:
            return None
        family = self._family(name, table, like)
        if family is None:
            return None
        required, optional = FAMILIES[family]
        self._unknown_keys(name, table, (*_PLAIN_KEYS, *required, *optional))
        figures = {
            key: Figure(key, None, figure_key(family, key).unit, "", "", "not stated") for key in required
        }
        figures |= like.figures if like else {}
        for key in (*required, *optional):
            if key in table:
                figures[key] = self._figure(name, key, figure_key(family, key), table[key])
        return GearType(
            name=name,
            family=family,
            summary=self._text(name, "summary", table.get("summary", like.summary if like else name)),
            sheaves=self._sheaves(name, table, like, family),
            holding=self._holding(name, table, like, family),
            figures=figures,
        )

    def _like(self, name: str, table: Mapping[str, Any], known: Mapping[str, GearType]) -> GearType | None:
        pattern = table.get("like")
        if pattern is None:
            return known.get(name)
        if pattern != name and pattern in self._broken:
            return known.get(name)  # it stands in the file, and its own fault is noted
        if not isinstance(pattern, str) or pattern not in known:
            near = did_you_mean(pattern, known) if isinstance(pattern, str) else "; give the name of a type"
            self._fault(name, f"'like' names no known type{near}")
            return known.get(name)
        return known[pattern]

    def _family(self, name: str, table: Mapping[str, Any], like: GearType | None) -> Family | None:
        given = table.get("family", like.family if like else None)
        family = next((family for family in _FAMILIES if family == given), None)
        if given is None and "like" in table:
            return None  # its fault is noted already
        if family is None:
            what = "has no 'family'" if given is None else "'family' is none of the known ones"
            self._fault(name, f"{what}; give one of {', '.join(_FAMILIES)}, or 'like' a known type")
        elif like is not None and family != like.family:
            self._fault(name, f"is like {like.name}, so its family is {like.family}, not {family}")
            return None
        return family

    def _unknown_keys(self, name: str, table: Mapping[str, Any], allowed: Iterable[str]) -> None:
        allowed = tuple(allowed)
        for key in table:
            if key not in allowed:
                self._fault(
                    name,
                    f"unknown key '{key[:40]}'{did_you_mean(key, allowed)}; known are {', '.join(allowed)}",
                )

    def _sheaves(self, name: str, table: Mapping[str, Any], like: GearType | None, family: Family) -> int:
        default = like.sheaves if like else int(family == "pulley")
        count = table.get("sheaves", default)
        if isinstance(count, bool) or not isinstance(count, int) or not 0 <= count <= _MOST_SHEAVES:
            self._fault(name, f"'sheaves' is a whole number from 0 to {_MOST_SHEAVES}")
            return default
        return count

    def _holding(self, name: str, table: Mapping[str, Any], like: GearType | None, family: Family) -> Holding:
        if "holding" not in table:
            return like.holding if like else Holding(life_support=family not in {"protection", "surface"})
        words = table["holding"]
        known = [word for word in _RULES if word != "life-support"] + ["not-life-support"]
        if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
            self._fault(name, f"'holding' is a list of words out of {', '.join(known)}")
            return Holding()
        for word in words:
            if word not in known:
                near = did_you_mean(word, known)
                self._fault(name, f"'holding' has '{word[:40]}'{near}; known are {', '.join(known)}")
        rules = {_RULES[word]: True for word in words if word in _RULES}
        return replace(Holding(**rules), life_support="not-life-support" not in words)

    def _figure(self, name: str, key: str, meaning: FigureKey, given: Any) -> Figure:
        unknown = Figure(key, None, meaning.unit, "", "", "not stated")
        parts = given if isinstance(given, dict) else {"value": given}
        for part in parts:
            if part not in _FIGURE_PARTS:
                self._fault(
                    name, f"'{key}' has an unknown part '{part[:40]}'; known are {', '.join(_FIGURE_PARTS)}"
                )
        if "value" not in parts:
            self._fault(name, f"'{key}' has no value; give one, or \"not known\"")
            return unknown
        note = self._text(name, f"{key} note", parts.get("note", ""))
        if parts["value"] == "not known":
            return replace(unknown, note=note or "not stated")
        try:
            value = read_quantity(parts["value"], meaning.kind)
        except QuantityError as error:
            self._fault(name, f"'{key}': {error}")
            return unknown
        if value.low < meaning.least or value.high > meaning.most:
            self._fault(name, f"'{key}' is {show_range(value, meaning.kind, 'metric')}; {_limits(meaning)}")
            return unknown
        confidence = self._confidence(name, key, parts)
        return Figure(key, value, meaning.unit, self._source(name, key, parts, confidence), confidence, note)

    def _confidence(self, name: str, key: str, parts: Mapping[str, Any]) -> str:
        letter = parts.get("confidence", "N" if self._own_file else None)
        if not isinstance(letter, str) or letter == "" or letter not in CONFIDENCE:
            words = ", ".join(f"{known} ({meaning})" for known, meaning in CONFIDENCE.items() if known)
            self._fault(name, f"'{key}' needs a confidence; give one of {words}")
            return "A"
        return letter

    def _source(self, name: str, key: str, parts: Mapping[str, Any], confidence: str) -> str:
        given = parts.get("source")
        if self._own_file:
            stated = f"stated in {self._own_file}"
            return stated if given is None else f"{self._text(name, f'{key} source', given)} ({stated})"
        if confidence == "A" and given is None:
            return ASSUMED
        if not isinstance(given, list) or not given or not all(known in self._sources for known in given):
            self._fault(name, f"'{key}' names no source of sources.toml")
            return ""
        return "; ".join(self._sources[known] for known in given)

    def _text(self, name: str, key: str, given: Any) -> str:
        if not isinstance(given, str) or len(given) > _LONGEST_TEXT:
            self._fault(name, f"'{key}' is a text of at most {_LONGEST_TEXT} characters")
            return ""
        return " ".join(given.split())

    def _fault(self, name: str, text: str) -> None:
        short = name if len(name) <= 60 else f"{name[:60]}…"
        self.faults.append(f"[{short}] {text}")


def _reading_order(tables: Mapping[str, Any]) -> tuple[list[str], dict[str, tuple[str, ...]]]:
    """Give the names so that each stands behind the one that it is like, and the ring of those in a ring."""
    order: dict[str, None] = {}
    rings: dict[str, tuple[str, ...]] = {}
    for start in tables:
        chain: dict[str, None] = {}
        here: str | None = start
        while here is not None and here not in order and here not in chain:
            chain[here] = None
            here = _pattern(here, tables)
        if here is not None and here in chain:
            ring = tuple(chain)[tuple(chain).index(here) :]
            rings |= dict.fromkeys(ring, ring)
        order |= dict.fromkeys(reversed(chain))
    return list(order), rings


def _pattern(name: str, tables: Mapping[str, Any]) -> str | None:
    """Give the other table of the same file that this one is like, if it is."""
    table = tables[name]
    pattern = table.get("like") if isinstance(table, dict) else None
    return pattern if isinstance(pattern, str) and pattern != name and pattern in tables else None


def _without_pointed(table: Mapping[str, Any]) -> tuple[Mapping[str, Any], list[str]]:
    """Take out tables that stand under no figure: TOML reads [a.b] without quotes as b inside a."""
    known = {key for needed, optional in FAMILIES.values() for key in (*needed, *optional)} | {*_PLAIN_KEYS}
    pointed = [key for key, value in table.items() if isinstance(value, dict) and key not in known]
    return {key: value for key, value in table.items() if key not in pointed}, pointed


def _limits(meaning: FigureKey) -> str:
    low, high = (
        "" if abs(end) == float("inf") else show_range(Range.exactly(end), meaning.kind, "metric")
        for end in (meaning.least, meaning.most)
    )
    return (
        f"{meaning.meaning} lies between {low} and {high}" if high else f"{meaning.meaning} is at least {low}"
    )
