"""The fields of the tables: for each what it takes, what may be chosen, and what stands there now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from ropewright.catalogue import Family
from ropewright.rig.editing.rows import ContactRow, PartRow, RopeRows, Tables
from ropewright.rig.editing.words import FIELDS, NOTHING, Field
from ropewright.web.workings.engine import catalogue

__all__ = ["Cell", "Group", "Laid", "Row", "Run", "Section", "laid_out"]

Choice = tuple[str, str]
VERBS: tuple[Choice, ...] = (
    ("tie", "tie: made fast"),
    ("grip", "grip: a grab or hitch bites"),
    ("through", "through: runs through gear"),
    ("over", "over: runs over an edge"),
    ("hand", "hand: somebody holds it; ends the run"),
    ("tail", "tail: hangs free; ends the run"),
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
    """One field. `values`: what is chosen, several for a list; `groups`: what can be, none for typing."""

    name: str
    label: str
    values: tuple[str, ...]
    groups: tuple[Group, ...] = ()
    needed: bool = False
    tick: bool = False
    names: bool = False

    @property
    def value(self) -> str:
        """The one value of a field that is no list."""
        return self.values[0] if self.values else ""


@dataclass(frozen=True, slots=True)
class Row:
    """A part as it stands, in words, and its fields."""

    name: str
    line: int
    words: str
    cells: tuple[Cell, ...]
    readable: bool


@dataclass(frozen=True, slots=True)
class Section:
    """A small table: its rows, and the fields of one more."""

    key: str
    heading: str
    noun: str
    rows: tuple[Row, ...]
    blank: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Met:
    """A contact of a run and its fields; none where it can only be changed in the text."""

    index: int
    line: int
    words: str
    cells: tuple[Cell, ...]
    first: bool
    last: bool


@dataclass(frozen=True, slots=True)
class Run:
    """A rope: itself, what it meets, and where one more contact goes."""

    rope: Row
    met: tuple[Met, ...]
    blank: tuple[Cell, ...]
    next: int

    @property
    def count(self) -> int:
        """How many contacts there are."""
        return len(self.met)


@dataclass(frozen=True, slots=True)
class Laid:
    """The whole page of tables."""

    runs: tuple[Run, ...]
    new_rope: tuple[Cell, ...]
    sections: tuple[Section, ...]
    names: tuple[str, ...] = field(default=())


def laid_out(tables: Tables) -> Laid:
    """Lay the tables out with everything that may be chosen in them."""
    runs = tuple(_run(tables, rope) for rope in tables.ropes)
    sections = tuple(
        Section(
            key,
            *HEADINGS[key],
            tuple(_row(tables, key, row) for row in rows),
            tuple(_cells(tables, key, {})),
        )
        for key, rows in _in_order(tables.parts)
    )
    first = _contact_cells(tables, {"verb": "tie"})
    new_rope = (*_cells(tables, "ropes", {}), *(c for c in first if c.name in ("c-target", "c-knot")))
    clips = tuple(name for name, section in tables.names.items() if section not in ("ropes", "crews"))
    return Laid(runs, new_rope, sections, clips)


def _in_order(parts: Mapping[str, tuple[PartRow, ...]]) -> Iterator[tuple[str, tuple[PartRow, ...]]]:
    for key in ("gear", "loads", "points", "crews"):
        yield key, parts.get(key, ())


def _row(tables: Tables, section: str, row: PartRow) -> Row:
    words = "; ".join(
        f"{label} {row.values[each.key]}".strip()
        for each in FIELDS[section]
        if row.values.get(each.key)
        for label in [_SHORT.get((section, each.key), _SHORT.get(("", each.key), each.key))]
    )
    return Row(row.name, row.line, words, tuple(_cells(tables, section, row.values)), row.readable)


# How a field is led in where a row is written as words; the first says what the part is, without more.
_SHORT = {
    ("", "is"): "",
    ("", "kind"): "",
    ("gear", "at"): "at",
    ("", "about"): "",
    ("", "state"): "",
    ("", "surface"): "of",
    ("", "protection"): "under a",
    ("", "people"): "people",
}


def _cells(tables: Tables, section: str, values: Mapping[str, str]) -> Iterator[Cell]:
    for each in FIELDS[section]:
        yield _cell(tables, each, values.get(each.key, ""))


def _cell(tables: Tables, each: Field, value: str) -> Cell:
    name = f"f-{each.key}"
    if each.takes == "choice":
        return Cell(name, each.label, (value,), _choices(each, each.words, value), each.needed)
    if each.takes == "type":
        return Cell(
            name,
            each.label,
            (value,),
            _types(each.families, [value], "" if each.needed else each.left_out),
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
            _choices(each, words, " ".join(chosen))
            if each.takes == "edges"
            else _types(each.families, chosen, each.left_out)
        )
        if each.takes == "types":
            first = (groups[0].choices[0], (NOTHING, "nothing between"), *groups[0].choices[1:])
            groups = (Group("", first), *groups[1:])
        return Cell(name, each.label, (*chosen, ""), groups)
    return Cell(name, each.label, (value,), needed=each.needed, names=each.takes == "clip")


def _choices(each: Field, words: Iterable[str], value: str) -> tuple[Group, ...]:
    """Words to choose from; one that means what leaving the key out means stands there once."""
    listed = [(word, word) for word in words if word != each.left_out or word == value]
    known = {word for word, _ in listed}
    other = [(word, f"{word} (not known)") for word in value.split() if word not in known]
    return (Group("", (*(() if each.needed else (("", each.left_out),)), *other, *listed)),)


def _types(families: Iterable[Family], values: Iterable[str], left_out: str) -> tuple[Group, ...]:
    known = catalogue()
    other = [(v, f"{v} (not in the catalogue)") for v in values if v and v != NOTHING and v not in known]
    first = Group("", (*((("", left_out),) if left_out else ()), *other))
    groups = [
        Group(family, tuple((kind.name, kind.name) for kind in known.of_family(family)))
        for family in families
    ]
    return (first, *groups)


def _run(tables: Tables, rope: RopeRows) -> Run:
    count = len(rope.contacts)
    met = tuple(
        Met(
            each.index,
            each.line,
            each.words,
            _contact_cells(tables, each.values) if each.values else (),
            first=each.index == 0,
            last=each.index == count - 1,
        )
        for each in rope.contacts
    )
    blank = _contact_cells(tables, {"verb": "through"})
    return Run(_row(tables, "ropes", rope.part), met, blank, _next(rope.contacts))


def _next(contacts: tuple[ContactRow, ...]) -> int:
    """Where one more contact goes: before a hand or a tail that ends the run."""
    ended = bool(contacts) and contacts[-1].words.split()[0] in ("hand", "tail")
    return len(contacts) - (1 if ended else 0)


def _contact_cells(tables: Tables, values: Mapping[str, str]) -> tuple[Cell, ...]:
    target = values.get("target", "")
    sections = ("gear", "points", "loads", "crews")
    named = [
        Group(HEADINGS[s][0].lower(), tuple((n, n) for n, own in tables.names.items() if own == s))
        for s in sections
    ]
    missing = ((target, f"{target} (not in this rig)"),) if target and target not in tables.names else ()
    knot = values.get("knot", "")
    names = (Group("", (("", "nothing"), *missing)), *(group for group in named if group.choices))
    return (
        Cell("c-verb", "word", (values.get("verb", ""),), (Group("", VERBS),), needed=True),
        Cell("c-target", "what it meets", (target,), names),
        Cell(
            "c-knot",
            "knot, for tie",
            (knot,),
            _types(("knot",), [knot], "not stated"),
        ),
        Cell("c-sheave", "sheave, for through: 1, 2 …", (values.get("sheave", ""),)),
        Cell("c-slack", "slack in the span that ends here", (values.get("slack", ""),)),
        Cell("c-reversed", "loaded the wrong way round", (values.get("reversed", ""),), tick=True),
    )
