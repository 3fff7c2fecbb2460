"""Who is there: people with their masses, from a list of masses or from a roster file."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from io import StringIO
from pathlib import Path
from typing import Any

from ropewright.effort.profiles import Role, load_roles, role_named
from ropewright.errors import RopewrightError
from ropewright.quantity import Kind, QuantityError, Range, System, read_quantity
from ropewright.rig.faults import RigFileError, shown
from ropewright.rig.yamltext import hidden_character, load_yaml

__all__ = ["LEAST_MASS", "MOST_MASS", "Person", "RosterError", "people_of_masses", "read_roster"]

LEAST_MASS, MOST_MASS = 25.0, 300.0
"""Masses [kg] of a person with gear outside of which a figure is taken for a slip of the pen."""
MOST_BYTES = 1_000_000
MOST_PEOPLE = 10_000
LONGEST_NAME = 80
_MOST_TOLD = 200
_COLUMNS = ("name", "mass", "role", "pull", "reach")
_UNITS: Mapping[str, System] = {"metric": "metric", "us": "us", "si": "metric", "kg": "metric", "lb": "us"}
_NO_ROLE = Role("", rope=True, hauls=True)


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody on the list: ``mass`` [kg] with everything worn; ``pull`` [N] and ``reach`` [m of rope for
    each pull] where they were measured; ``row`` the line or number in the list.
    """

    name: str
    mass: Range
    role: Role = _NO_ROLE
    pull: Range | None = None
    reach: Range | None = None
    row: int = 0


class RosterError(RopewrightError):
    """A list of people that can't be used; ``faults`` hold everything wrong with it, one line each."""

    def __init__(self, source: str, faults: Iterable[str]) -> None:
        """Keep all faults; the text tells the first 200."""
        self.source, self.faults = source, tuple(faults)
        told = [f"{source}: {fault}" for fault in self.faults[:_MOST_TOLD]]
        if len(self.faults) > _MOST_TOLD:
            told.append(f"{source}: and {len(self.faults) - _MOST_TOLD} more faults")
        super().__init__("\n".join(told))


@dataclass(frozen=True, slots=True)
class _Row:
    """One entry as it was found: ``where`` says so in words."""

    number: int
    where: str
    cells: Mapping[str, Any]


def people_of_masses(text: str, system: System | None) -> tuple[Person, ...]:
    """People without names, from `78,84,91` or `172 lb, 84 kg`.

    system: what a bare number means; None refuses bare numbers. Errors: RosterError with every fault.
    """
    rows = [
        _Row(k, f"number {k}", {"name": f"no. {k}", "mass": cell.strip()})
        for k, cell in enumerate(text.split(","), 1)
    ]
    if not any(row.cells["mass"] for row in rows):
        raise RosterError("--masses", ["no mass is given; write them as 78,84,91 kg or 172 lb,185 lb"])
    empty = [
        f"{row.where}: nothing stands there; write its mass, or take out the comma"
        for row in rows
        if not row.cells["mass"]
    ]
    if empty:
        raise RosterError("--masses", empty)
    # `78,84,91 kg`: a unit after the last number goes for all, as in a range
    last = rows[-1].cells["mass"].lstrip("0123456789. ")
    if last and last != rows[-1].cells["mass"] and all(_is_bare(row.cells["mass"]) for row in rows[:-1]):
        rows = [
            _Row(r.number, r.where, {**r.cells, "mass": f"{r.cells['mass'].removesuffix(last)} {last}"})
            for r in rows
        ]
    return _people("--masses", rows, system, [])


def read_roster(path: Path, system: System | None = None) -> tuple[Person, ...]:
    """Read a roster: CSV, YAML or TOML with name, mass and, if known, role, pull and reach.

    system: what a bare number means where the file does not say `units`; None refuses bare numbers.
    Errors: RosterError with every fault and its row.
    """
    source, faults = str(path), list[str]()
    text = _text(path)
    ending = path.suffix.lower()
    if ending == ".toml":
        own, rows = _toml(text, source, faults)
    elif ending in (".yaml", ".yml"):
        own, rows = _yaml(text, source, faults)
    else:
        own, rows = _csv(text, source, faults)
    if not rows and not faults:
        faults.append("nobody is in it; each person needs a name and a mass")
    return _people(source, rows, own or system, faults)


def _text(path: Path) -> str:
    try:
        with path.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name can't be used"
        raise RosterError(str(path), [f"can't be read: {reason}"]) from None
    if len(content) > MOST_BYTES:
        raise RosterError(str(path), ["is larger than 1 MB; a roster is one line for each person"])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        fault = f"line {line}: is not text in UTF-8; save it again as UTF-8"
        raise RosterError(str(path), [fault]) from None
    if "\0" in text:
        raise RosterError(str(path), ["is not text in UTF-8 (it holds zero bytes); save it again as UTF-8"])
    return text


# --- formats


def _csv(text: str, source: str, faults: list[str]) -> tuple[System | None, list[_Row]]:
    lines = text.splitlines(keepends=True)
    own, skipped = None, 0
    while skipped < len(lines) and (not (bare := lines[skipped].strip()) or bare.startswith(("#", "units"))):
        word = bare.lstrip("# ").lower()
        if word.startswith("units"):
            own = _system(word.removeprefix("units").strip(" :=,;\t"), f"line {skipped + 1}", faults)
        skipped += 1
    if skipped == len(lines):
        return own, []
    head = lines[skipped]
    mark = max(",;\t", key=head.count)
    try:
        table = csv.reader(StringIO("".join(lines[skipped:]), newline=""), delimiter=mark, strict=True)
        names = [cell.strip().lower() for cell in next(table)]
        if not _known_columns(names, skipped + 1, faults):
            return own, []
        rows = []
        before = skipped + table.line_num
        for cells in table:
            line, before = before + 1, skipped + table.line_num
            if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
                continue
            if len(cells) > len(names):
                faults.append(
                    f"line {line}: {len(cells)} cells under {len(names)} titles; quote a cell with commas"
                )
                continue
            found = {name: cell.strip() for name, cell in zip(names, cells, strict=False) if cell.strip()}
            rows.append(_Row(line, f"line {line}", found))
    except csv.Error as error:
        raise RosterError(
            source, [*faults, f"line {skipped + table.line_num}: is not CSV: {error}"]
        ) from None
    return own, rows


def _known_columns(names: list[str], line: int, faults: list[str]) -> bool:
    before = len(faults)
    titles = f"titles are {', '.join(_COLUMNS)}, units"
    missing = [name for name in ("name", "mass") if name not in names]
    faults += [f"line {line}: no column is titled '{name}'; {titles}" for name in missing]
    for name in dict.fromkeys(names):
        if name not in (*_COLUMNS, "units"):
            faults.append(f"line {line}: {_unknown('column', name, (*_COLUMNS, 'units'))}")
        elif names.count(name) > 1:
            faults.append(f"line {line}: the column '{name}' stands {names.count(name)} times; keep one")
    return len(faults) == before


def _yaml(text: str, source: str, faults: list[str]) -> tuple[System | None, list[_Row]]:
    try:
        tree = load_yaml(text, source)
    except RigFileError as error:
        raise RosterError(source, [str(fault) for fault in error.faults]) from None
    except RecursionError:
        raise RosterError(source, ["is nested too deeply; a roster is a list of people"]) from None
    faults += [str(fault) for fault in tree.faults]
    lines = {path[1]: place[0] for path, place in tree.values.items() if len(path) == 2}
    return _document(tree.value, faults, lambda k: (lines.get(k, k + 1), f"line {lines.get(k, k + 1)}"))


def _toml(text: str, source: str, faults: list[str]) -> tuple[System | None, list[_Row]]:
    try:
        value = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RosterError(source, [f"is not TOML: {error}"]) from None
    except RecursionError:
        raise RosterError(source, ["is nested too deeply; a roster is a list of people"]) from None
    return _document(value, faults, lambda k: (k + 1, f"person {k + 1}"))


def _document(value: Any, faults: list[str], where: Any) -> tuple[System | None, list[_Row]]:
    """People out of `{units, people: [...]}` or of the list alone; ``where`` says where number k stands."""
    own = None
    if isinstance(value, dict):
        if "units" in value:
            own = _system(str(value["units"]).lower(), "units", faults)
        faults += [
            _unknown("key", key, ("units", "people")) for key in value if key not in ("units", "people")
        ]
        value = value.get("people")
    if not isinstance(value, list):
        if not faults:
            faults.append("no list of people was found; write `people:` and a name and a mass for each")
        return own, []
    rows = []
    for k, entry in enumerate(value):
        number, place = where(k)
        if not isinstance(entry, dict):
            faults.append(f"{place}: found {shown(entry)} where a person is wanted; write name and mass")
            continue
        unknown = [key for key in entry if key not in (*_COLUMNS, "units")]
        faults += [f"{place}: {_unknown('key', key, _COLUMNS)}" for key in unknown]
        rows.append(_Row(number, place, {key: entry[key] for key in entry if key not in unknown}))
    return own, rows


# --- people


def _people(source: str, rows: list[_Row], system: System | None, faults: list[str]) -> tuple[Person, ...]:
    if len(rows) > MOST_PEOPLE:
        raise RosterError(source, [f"{len(rows)} people; a roster holds {MOST_PEOPLE} at most"])
    out, first = [], dict[str, str]()
    for row in rows:
        before = len(faults)
        name = _name(row, first, faults)
        own = _system(str(row.cells["units"]).lower(), row.where, faults) if "units" in row.cells else system
        mass = _mass(row, own, faults)
        role = _role(row, faults)
        pull = _figure(row, "pull", "force", own, faults)
        reach = _figure(row, "reach", "length", own, faults)
        if len(faults) == before and mass is not None and role is not None:
            out.append(Person(name, mass, role, pull, reach, row.number))
    if faults:
        raise RosterError(source, faults)
    return tuple(out)


def _name(row: _Row, first: dict[str, str], faults: list[str]) -> str:
    raw = row.cells.get("name")
    name = " ".join(raw.split()) if isinstance(raw, str) else str(raw) if isinstance(raw, int) else ""
    if not name:
        faults.append(f"{row.where}: nobody is named; give a name or a number")
    elif len(name) > LONGEST_NAME:
        faults.append(f"{row.where}: a name of {len(name)} characters; {LONGEST_NAME} at most")
    elif hidden := hidden_character(name):
        faults.append(f"{row.where}: {shown(name)} holds the hidden character {hidden}; take it out")
    elif name.casefold() in first:
        faults.append(
            f"{row.where}: {shown(name)} stands twice, first at {first[name.casefold()]}; tell them apart"
        )
    else:
        first[name.casefold()] = row.where
    return name


def _mass(row: _Row, system: System | None, faults: list[str]) -> Range | None:
    if row.cells.get("mass") in (None, ""):
        faults.append(f"{row.where}: {shown(row.cells.get('name'))} has no mass; weigh with all gear worn")
        return None
    mass = _figure(row, "mass", "mass", system, faults)
    if mass is not None and (mass.low < LEAST_MASS or mass.high > MOST_MASS):
        faults.append(
            f"{row.where}: found {shown(row.cells['mass'])} for a mass; a person with gear is between "
            f"{LEAST_MASS:g} and {MOST_MASS:g} kg (55 and 660 lb)"
        )
        return None
    return mass


def _figure(row: _Row, key: str, kind: Kind, system: System | None, faults: list[str]) -> Range | None:
    value = row.cells.get(key)
    if value is None or value == "":
        return None
    if system is None and _is_bare(value):
        units = {"mass": "kg or lb", "force": "kN or lbf", "length": "m or ft"}[kind]
        faults.append(
            f"{row.where}: found {shown(value)} without a unit for the {key}; write {units} after it, "
            "or say `units: metric` or `units: us` for all"
        )
        return None
    try:
        return read_quantity(value, kind, system or "metric", sign="above-zero")
    except QuantityError as error:
        faults.append(f"{row.where}: {key}: {error}")
        return None


def _is_bare(value: object) -> bool:
    """Whether a value is digits alone, so that its unit is a guess."""
    if isinstance(value, str):
        return bool(value.strip()) and not value.strip().strip("0123456789.,+-– ")
    return isinstance(value, int | float) and not isinstance(value, bool)


def _role(row: _Row, faults: list[str]) -> Role | None:
    word = row.cells.get("role")
    if word is None or word == "":
        return _NO_ROLE
    role = role_named(str(word))
    if role is None:
        main = dict.fromkeys(known.name for known in load_roles().values())
        faults.append(f"{row.where}: {_unknown('role', word, load_roles(), main)}")
    return role


def _system(word: str, where: str, faults: list[str]) -> System | None:
    if word not in _UNITS:
        faults.append(f"{where}: units are 'metric' (kg, m, kN) or 'us' (lb, ft, lbf); found {shown(word)}")
    return _UNITS.get(word)


def _unknown(what: str, found: object, known: Iterable[str], listed: Iterable[str] = ()) -> str:
    words = list(known)
    near = get_close_matches(str(found)[:60].lower(), words, n=1, cutoff=0.6)
    hint = f"did you mean '{near[0]}'?" if near else f"known are {', '.join(listed or words)}"
    return f"unknown {what} {shown(found)}; {hint}"
