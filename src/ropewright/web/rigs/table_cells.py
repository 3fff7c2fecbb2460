"""The fields of the tables: for each what it takes, what may be chosen, and what stands there now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from ropewright.catalogue import Family
from ropewright.rig.editing.rows import Tables
from ropewright.rig.editing.words import NOTHING, Field
from ropewright.web.workings.engine import catalogue

__all__ = [
    "HEADINGS",
    "Cell",
    "Choice",
    "Group",
    "Statement",
    "Statements",
    "cells_of",
    "choices",
    "contact_cells",
    "types",
]


class Choice(NamedTuple):
    """A word that may be chosen and how it is shown; `has`: what can be chosen with it in another field."""

    word: str
    shown: str
    has: str = ""


VERBS: tuple[Choice, ...] = (
    Choice("tie", "tie: made fast"),
    Choice("grip", "grip: a grab or hitch bites"),
    Choice("through", "through: runs through gear"),
    Choice("over", "over: runs over an edge"),
    Choice("hand", "hand: somebody holds it; ends the run"),
    Choice("tail", "tail: hangs free; ends the run"),
)
HEADINGS = {
    "points": ("Places", "a place"),
    "loads": ("Loads", "a load"),
    "crews": ("Crews", "a crew"),
    "gear": ("Gear", "a piece of gear"),
    "ropes": ("Ropes", "a rope"),
}


@dataclass(frozen=True, slots=True)
class Group:
    """Choices under one heading; no heading where it is empty."""

    heading: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """One field. `values`: what is chosen, several for a list; `groups`: what can be, none for typing;
    `narrows`: the field in which only what a choice made here has can be chosen then.
    """

    name: str
    label: str
    values: tuple[str, ...]
    groups: tuple[Group, ...] = ()
    needed: bool = False
    tick: bool = False
    names: bool = False
    narrows: str = ""

    @property
    def value(self) -> str:
        """The one value of a field that is no list."""
        return self.values[0] if self.values else ""


@dataclass(frozen=True, slots=True)
class Statement:
    """One thing stated: in words, with its fields, and with what names it when it is changed.

    `mark`: a caution beside it. `own`: hidden fields, name and value.
    """

    key: str
    name: str
    words: str
    line: int
    kind: str
    own: Mapping[str, str] = field(default_factory=dict)
    cells: tuple[Cell, ...] = ()
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Statements:
    """A table of them: its rows, and the fields of one more, none where there can't be.

    `none`: said where there are no rows; `more`: what one more is asked for with.
    """

    kind: str
    heading: str
    about: str
    none: str
    more: str
    rows: tuple[Statement, ...]
    blank: tuple[Cell, ...]


def cells_of(tables: Tables, fields: Iterable[Field], values: Mapping[str, str]) -> Iterator[Cell]:
    """The cells of some fields with what stands in them."""
    for each in fields:
        yield _cell(tables, each, values.get(each.key, ""))


def _cell(tables: Tables, each: Field, value: str) -> Cell:
    name = f"f-{each.key}"
    if each.takes == "choice":
        return Cell(name, each.label, (value,), choices(each, each.words, value), each.needed)
    if each.takes == "load":
        loads = [name for name, section in tables.names.items() if section == "loads"]
        other = [Choice(value, f"{value} (no load of this rig)")] if value and value not in loads else []
        listed = (Choice("", "choose"), *other, *(Choice(load, load) for load in loads))
        return Cell(name, each.label, (value,), (Group("", listed),), each.needed)
    if each.takes == "type":
        return Cell(
            name,
            each.label,
            (value,),
            types(each.families, [value], "" if each.needed else each.left_out),
            each.needed,
        )
    if each.takes in ("types", "edges"):
        chosen = [word for word in value.replace(",", " ").split() if word]
        words = (
            [name for name, section in tables.names.items() if section == "points"]
            if each.takes == "edges"
            else []
        )
        groups = (
            choices(each, words, " ".join(chosen))
            if each.takes == "edges"
            else types(each.families, chosen, each.left_out)
        )
        if each.takes == "types":
            first = (groups[0].choices[0], Choice(NOTHING, "nothing between"), *groups[0].choices[1:])
            groups = (Group("", first), *groups[1:])
        return Cell(name, each.label, (*chosen, ""), groups)
    return Cell(name, each.label, (value,), needed=each.needed, names=each.takes == "clip")


def choices(each: Field, words: Iterable[str], value: str) -> tuple[Group, ...]:
    """Words to choose from; one that means what leaving the key out means stands there once."""
    listed = [Choice(word, word) for word in words if word != each.left_out or word == value]
    known = {each.word for each in listed}
    other = [Choice(word, f"{word} (not known)") for word in value.split() if word not in known]
    return (Group("", (*(() if each.needed else (Choice("", each.left_out),)), *other, *listed)),)


def types(families: Iterable[Family], values: Iterable[str], left_out: str) -> tuple[Group, ...]:
    known = catalogue()
    other = [
        Choice(v, f"{v} (not in the catalogue)") for v in values if v and v != NOTHING and v not in known
    ]
    first = Group("", (*((Choice("", left_out),) if left_out else ()), *other))
    groups = [
        Group(family, tuple(Choice(kind.name, kind.name) for kind in known.of_family(family)))
        for family in families
    ]
    return (first, *groups)


def contact_cells(tables: Tables, values: Mapping[str, str]) -> tuple[Cell, ...]:
    target = values.get("target", "")
    sections = ("gear", "points", "loads", "crews")
    named = [
        Group(HEADINGS[s][0].lower(), tuple(Choice(n, n) for n, own in tables.names.items() if own == s))
        for s in sections
    ]
    missing = (
        (Choice(target, f"{target} (not in this rig)"),) if target and target not in tables.names else ()
    )
    knot = values.get("knot", "")
    names = (Group("", (Choice("", "nothing"), *missing)), *(group for group in named if group.choices))
    return (
        Cell("c-verb", "word", (values.get("verb", ""),), (Group("", VERBS),), needed=True),
        Cell("c-target", "what it meets", (target,), names),
        Cell(
            "c-knot",
            "knot, for tie",
            (knot,),
            types(("knot",), [knot], "not stated"),
        ),
        Cell("c-sheave", "sheave, for through: 1, 2 …", (values.get("sheave", ""),)),
        Cell("c-slack", "slack in the span that ends here", (values.get("slack", ""),)),
        Cell("c-reversed", "loaded the wrong way round", (values.get("reversed", ""),), tick=True),
    )
