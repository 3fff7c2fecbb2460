"""Reading a procedure file: everything wrong with it is told at once, each thing with its line and column."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic_core import PydanticCustomError

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.quantity import System, show_length
from ropewright.rig import Crew, Gear, Rig, RigFileError, Rope, read_rig
from ropewright.rig.draft import Draft, Found
from ropewright.rig.faults import listed, shown, suggestion
from ropewright.rig.fields import is_name, plain_words
from ropewright.rig.overrides import read_assume, read_policy
from ropewright.rig.textfile import read_text
from ropewright.rig.yamltext import Tree, load_yaml

from .forms import StepError, read_step
from .kit import read_kit, read_spare
from .model import Person, Procedure, Step
from .naming import check_names

__all__ = ["ENDING", "KEYS", "RigSource", "keys_of", "read_procedure"]

RigSource = Callable[[str], Rig]

ENDING = ".procedure.yaml"
_EMPTY = Rig("without a rig")
STANDS = 1.6
"""Most height [m] of what a person or litter hangs by over the place where they stand."""

KEYS: Mapping[str, str] = {
    "procedure": "what the procedure is called",
    "about": "one line on what it is for",
    "from": "the rig file that it starts from, beside this file",
    "units": "what a bare number means: metric (m, kg, kN) or us (ft, lb, lbf)",
    "people": "who does what: {role: …, at: a place of the rig}, by name",
    "stands": "loads that stand somewhere at the start, and where",
    "gear": "gear brought along, {is: TYPE}, by name",
    "ropes": "ropes brought along, {is: TYPE, length: …}, by name",
    "words": "the team's own words for what is called, by the word in the steps",
    "given": "the conditions that are read to the candidate",
    "level": "the level that the skill belongs to",
    "standard": "the standard and its edition, as the team cites it",
    "minutes": "how many minutes a candidate has",
    "attempts": "how many attempts a candidate has",
    "stop-when": "what stops the exercise, one line each",
    "assume": "figures that replace the catalogue's, as in a rig file",
    "policy": "rules that replace the rig file's",
    "steps": "what is done, one line each: `- student: lock off descender`",
}


@dataclass
class _Reading:
    """A procedure on its way to being read."""

    tree: Tree
    value: dict[str, Any]
    catalogue: Catalogue
    found: list[Found] = field(default_factory=list)
    sections: dict[str, dict[str, Any]] = field(default_factory=dict)

    @property
    def system(self) -> System:
        return "us" if self.value.get("units") == "us" else "metric"

    def section(self, key: str) -> dict[str, Any]:
        """A section of names, empty where it is left out or is no such thing; its faults are told once."""
        if key not in self.sections:
            self.sections[key] = self._section(key)
        return self.sections[key]

    def _section(self, key: str) -> dict[str, Any]:
        value = self.value.get(key)
        if value is None:
            return {}
        if not isinstance(value, dict):
            self.found.append(Found((key,), f"found {shown(value)}; write names, each with what it is"))
            return {}
        bad = [name for name in value if not is_name(str(name))]
        self.found += [
            Found(
                (key, name), f"found {shown(name)}; a name is one word of letters, digits, - and _", key=True
            )
            for name in bad
        ]
        return {str(name): part for name, part in value.items() if name not in bad}


def keys_of(source: Path | str | bytes, name: str = "procedure file") -> Tree:
    """The keys of a procedure file, whatever else is wrong with it; ``name``: what it is called in an error.

    Errors: RigFileError where it is no procedure file at all.
    """
    tree = load_yaml(read_text(source, name, "a procedure file", f"pass.{ENDING.lstrip('.')}"), name)
    if not isinstance(tree.value, dict):
        keys = "`procedure:`, `from:`, `steps:`"
        text = f"found {shown(tree.value)}; a procedure file is a list of keys such as {keys}"
        raise RigFileError(tree.faults or [tree.fault((), text)], name)
    if "rig" in tree.value and "steps" not in tree.value:
        text = "this is a rig file; a procedure file names one under `from:` and has `steps:`"
        raise RigFileError([tree.fault(("rig",), text, key=True)], name)
    return tree


def read_procedure(
    source: Path | str | bytes, catalogue: Catalogue | None = None, rigs: RigSource | None = None
) -> Procedure:
    """Read a procedure from a file (a Path) or from its text (str or bytes).

    rigs: gives the rig that is called by the name under `from:`; left out, the rig file of that name is read
    from the procedure file's own folder. It raises RigFileError where there is none or it can't be used.
    Errors: RigFileError, whose `faults` hold everything that is wrong, in the order of the file.
    """
    name = str(source) if isinstance(source, Path) else "procedure file"
    catalogue = catalogue or load_catalogue()
    if rigs is None:
        folder = source.parent if isinstance(source, Path) else Path()
        rigs = lambda called: read_rig(folder / called, catalogue)  # noqa: E731 - one use, read where it stands
    tree = keys_of(source, name)
    reading = _Reading(tree, tree.value, catalogue)
    procedure = _procedure(reading, rigs)
    faults = [*tree.faults, *(tree.fault(each.path, each.text, key=each.key) for each in reading.found)]
    if faults:
        raise RigFileError(faults, name)
    return procedure


def _procedure(r: _Reading, rigs: RigSource) -> Procedure:
    _keys(r)
    rig = _rig(r, rigs)
    people = _people(r, rig)
    kit, spare = (
        read_kit(r.section("gear"), r.catalogue, r.found, r.tree),
        read_spare(r.section("ropes"), r.catalogue, r.system, r.found, r.tree),
    )
    rig = _with_people(rig, people)
    r.found += _stated(r, rig, kit, spare)
    rig = _overridden(r, rig, kit, spare)
    steps = _steps(r)
    procedure = Procedure(
        name=_words(r, "procedure") or "without a title",
        about=_words(r, "about"),
        rig=rig,
        rig_file=str(r.value.get("from") or ""),
        people=people,
        kit=kit,
        spare=spare,
        stands={k: v for k, v in r.section("stands").items() if isinstance(v, str)},
        words={k: _plain(r, v, "words", k) for k, v in r.section("words").items()},
        steps=steps,
        given=_words(r, "given"),
        minutes=_count(r, "minutes"),
        attempts=_count(r, "attempts"),
        level=_words(r, "level"),
        standard=_words(r, "standard"),
        stop_rules=_lines(r, "stop-when"),
    )
    if rig is not _EMPTY and rig.ropes:
        unread = [n for key in ("gear", "ropes") for n in r.section(key) if n not in (*kit, *spare)]
        r.found += check_names(procedure, unread)
    return procedure


def _keys(r: _Reading) -> None:
    for key in r.value:
        if key not in KEYS:
            right = suggestion(str(key), KEYS, f"A procedure file takes {listed(KEYS)}")
            r.found.append(Found((key,), f"unknown key {shown(key)}. {right}", key=True))
    for key in ("procedure", "from", "steps"):
        if r.value.get(key) is None:
            r.found.append(
                Found((key,) if key in r.value else (), f"`{key}:` is missing at the top: {KEYS[key]}")
            )
    if r.value.get("units") not in (None, "metric", "us"):
        r.found.append(Found(("units",), f"found {shown(r.value['units'])}; it is one of metric, us"))


def _rig(r: _Reading, rigs: RigSource) -> Rig:
    """The rig that it starts from; what is wrong with that file is told with its own lines."""
    name = r.value.get("from")
    if not isinstance(name, str):
        if name is not None:
            r.found.append(Found(("from",), f"found {shown(name)}; name a rig file, as in `lane.rig.yaml`"))
        return _EMPTY
    try:
        return rigs(name)
    except RigFileError as error:
        first = error.faults[0]
        more = f"; and {len(error.faults) - 1} more" if len(error.faults) > 1 else ""
        at = f"line {first.line}, column {first.column}: " if first.line > 1 or first.path else ""
        r.found.append(Found(("from",), f"the rig file {shown(name)} can't be used: {at}{first.text}{more}"))
        return _EMPTY


def _people(r: _Reading, rig: Rig) -> dict[str, Person]:
    out = {x.name: Person(x.name, x.about) for x in rig.loads.values() if x.kind == "person"}
    out |= {x.name: Person(x.name, x.about) for x in rig.crews.values()}
    for name, part in r.section("people").items():
        line = r.tree.place(("people", name), key=True)[0]
        if not isinstance(part, dict):
            r.found.append(Found(("people", name), f"found {shown(part)}; write {{role: …, at: …}}"))
            continue
        for key in part:
            if key not in ("role", "at"):
                r.found.append(
                    Found(
                        ("people", name, key),
                        f"unknown key {shown(key)}. A person takes role and at",
                        key=True,
                    )
                )
        if name in rig.points or name in rig.gear or name in rig.ropes:
            text = f"`{name}` is a name of the rig already; give this person their own"
            r.found.append(Found(("people", name), text, key=True))
            continue
        at = part.get("at")
        if at is not None and not isinstance(at, str):
            text = f"found {shown(at)}; name a place of the rig, as in `at: balcony`"
            r.found.append(Found(("people", name, "at"), text))
            at = None
        elif name not in rig.loads and name not in rig.crews:
            if at is None:
                r.found.append(
                    Found(
                        ("people", name),
                        f"`{name}` is no load or crew of the rig: say where they stand with `at: PLACE`",
                        key=True,
                    )
                )
            elif at not in rig.points:
                r.found.append(
                    Found(
                        ("people", name, "at"),
                        f"{shown(at)} is no place of the rig. "
                        + suggestion(str(at), rig.points, f"There is {listed(rig.points)}"),
                    )
                )
        role = _plain(r, part["role"], "people", name, "role") if "role" in part else ""
        out[name] = Person(name, role, at if isinstance(at, str) else "", line)
    return out


def _with_people(rig: Rig, people: Mapping[str, Person]) -> Rig:
    """The rig with those who stand at a place as crews there, who can take hold of a rope."""
    crews = {
        p.name: Crew(p.name, rig.points[p.at].at, about=p.role, line=p.line)
        for p in people.values()
        if p.at in rig.points and p.name not in rig.loads and p.name not in rig.crews
    }
    return replace(rig, crews={**rig.crews, **crews}) if crews else rig


def _stated(r: _Reading, rig: Rig, kit: Mapping[str, Gear], spare: Mapping[str, Rope]) -> Iterator[Found]:
    """Names that stand twice, and loads that stand nowhere."""
    taken = {part.name for part in rig.parts()}
    for section, names in (("gear", kit), ("ropes", spare)):
        for name in names:
            if name in taken:
                yield Found(
                    (section, name), f"`{name}` is a name of the rig already; give this one its own", key=True
                )
            taken.add(name)
    for name, place in r.section("stands").items():
        if not isinstance(place, str):
            yield Found(("stands", name), f"found {shown(place)}; name a place of the rig")
            continue
        if name not in rig.loads:
            yield Found(("stands", name), f"`{name}` is no load of the rig", key=True)
        if place not in rig.points:
            yield Found(("stands", name), f"{shown(place)} is no place of the rig")
        elif name in rig.loads:
            there = rig.points[place]
            above = rig.loads[name].at[2] - there.at[2]
            if there.kind == "anchor" or not -0.1 <= above <= STANDS:
                text = f"`{name}` is drawn {show_length(above)} above `{place}`, which is kind {there.kind}"
                yield Found(("stands", name), f"{text}: nobody stands so; name a stand, a ground or an edge")


def _overridden(r: _Reading, rig: Rig, kit: Mapping[str, Gear], spare: Mapping[str, Rope]) -> Rig:
    """The rig with this file's figures and rules over its own."""
    whole = replace(rig, gear={**rig.gear, **kit}, ropes={**rig.ropes, **spare})
    sections = {
        part.name: section
        for section in ("points", "loads", "crews", "gear", "ropes")
        for part in getattr(whole, section).values()
    }
    draft = Draft(whole, r.catalogue, r.system, sections, r.section("assume"), r.section("policy"))
    assume, policy = read_assume(draft, r.found), read_policy(draft, r.found)
    return replace(rig, assume={**rig.assume, **assume}, policy={**rig.policy, **policy})


def _steps(r: _Reading) -> tuple[Step, ...]:
    value = r.value.get("steps")
    if value is None:
        return ()
    if not isinstance(value, list) or not value:
        r.found.append(
            Found(("steps",), f"found {shown(value)}; write steps, one in a line, each behind `- `")
        )
        return ()
    out = []
    for k, item in enumerate(value):
        if not isinstance(item, dict) or len(item) != 1:
            text = f"found {shown(item)}; say who does it and what: `- student: lock off descender`"
            r.found.append(Found(("steps", k), text))
            continue
        ((doer, words),) = item.items()
        try:
            out.append(read_step(str(doer), words, r.system, r.tree.place(("steps", k, doer), key=True)[0]))
        except StepError as error:
            r.found.append(Found(("steps", k, doer), str(error)))
    return tuple(out)


def _words(r: _Reading, key: str) -> str:
    value = r.value.get(key)
    return "" if value is None else _plain(r, value, key)


def _plain(r: _Reading, value: Any, *path: str | int) -> str:
    try:
        return plain_words(value)
    except PydanticCustomError as error:
        r.found.append(Found(path, error.message()))
        return ""


def _lines(r: _Reading, key: str) -> tuple[str, ...]:
    value = r.value.get(key)
    if value is None:
        return ()
    if not isinstance(value, list):
        r.found.append(Found((key,), f"found {shown(value)}; write lines, each behind `- `"))
        return ()
    return tuple(_plain(r, item, key, k) for k, item in enumerate(value))


def _count(r: _Reading, key: str) -> int | None:
    value = r.value.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 1000:
        r.found.append(Found((key,), f"found {shown(value)}; it is a whole number from 1 to 1000"))
        return None
    return value
