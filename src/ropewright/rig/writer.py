"""Writing a rig as a rig file that reads back as the same rig."""

import re
from collections.abc import Iterator, Mapping

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.quantity import Kind, Range, System, write_quantity
from ropewright.rig.build import DEFAULT_JOIN
from ropewright.rig.contacts import write_contact
from ropewright.rig.figures import figure_key
from ropewright.rig.model import Crew, Gear, Load, Motion, Place, Point, PolicyValue, Rig, Rope
from ropewright.rig.policy import POLICY_KEYS
from ropewright.rig.yamltext import reads_as_text

__all__ = ["OLD_WORDS", "quoted", "write_rig"]

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_.-]*(?: [A-Za-z0-9_.-]+)*\Z")
# Text here, but true or false to programs that read older YAML.
OLD_WORDS = frozenset(("yes", "no", "on", "off", "y", "n"))


def write_rig(rig: Rig, catalogue: Catalogue | None = None) -> str:
    """Write a rig as YAML text; `read_rig` of it equals the rig. The same rig gives the same bytes.

    catalogue: the one that the rig was read with, which tells ropes from gear; the shipped one when left out.
    """
    lines = [f"rig: {quoted(rig.rig)}"]
    if rig.about:
        lines.append(f"about: {quoted(rig.about)}")
    lines += [f"units: {rig.units}"]
    lines += _section("points", {name: _place(part, rig.units) for name, part in rig.points.items()})
    lines += _section("loads", {name: _load(part, rig.units) for name, part in rig.loads.items()})
    lines += _section("crews", {name: _crew(part, rig.units) for name, part in rig.crews.items()})
    lines += _section("gear", {name: _gear(part, rig.units) for name, part in rig.gear.items()})
    lines += _ropes(rig.ropes, rig.units)
    motions = _motion("haul", "up", rig.haul, rig.units) + _motion("lower", "down", rig.lower, rig.units)
    lines += ["", *motions] if motions else []
    lines += _section("assume", {name: _figures(rig, name, catalogue) for name in rig.assume})
    lines += _policy(rig)
    return "\n".join(lines) + "\n"


def quoted(text: str) -> str:
    """Write words as a YAML scalar: plain where they can only be read as text, else in double quotes."""
    if _PLAIN.match(text) and reads_as_text(text) and text.lower() not in OLD_WORDS:
        return text
    escapes = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t"}
    inside = "".join(escapes.get(c, c if c.isprintable() else f"\\U{ord(c):08x}") for c in text)
    return f'"{inside}"'


def _flow(entries: Mapping[str, str | None]) -> str:
    return "{" + ", ".join(f"{key}: {value}" for key, value in entries.items() if value is not None) + "}"


def _section(title: str, parts: Mapping[str, Mapping[str, str | None]]) -> Iterator[str]:
    if parts:
        yield ""
        yield f"{title}:"
        yield from (f"  {quoted(name)}: {_flow(entries)}" for name, entries in parts.items())


def _point(at: Point, system: System) -> str:
    numbers = at if at[1] else (at[0], at[2])
    return "[" + ", ".join(_length(number, system) for number in numbers) + "]"


def _length(value: float, system: System) -> str:
    text = write_quantity(Range.exactly(value), "length", system)
    return text.removesuffix(" m" if system == "metric" else " ft")


def _figure(value: Range | None, kind: Kind, system: System) -> str | None:
    return write_quantity(value, kind, system) if value else None


def _words(text: str | None) -> str | None:
    return quoted(text) if text else None


def _place(part: Place, system: System) -> dict[str, str | None]:
    return {
        "kind": part.kind,
        "at": _point(part.at, system),
        "strength": _figure(part.strength, "force", system),
        "surface": _words(part.surface),
        "protection": _words(part.protection),
        "about": _words(part.about),
    }


def _load(part: Load, system: System) -> dict[str, str | None]:
    return {
        "kind": part.kind,
        "mass": _figure(part.mass, "mass", system),
        "at": _point(part.at, system),
        "wears": _words(part.wears),
        "about": _words(part.about),
    }


def _crew(part: Crew, system: System) -> dict[str, str | None]:
    return {
        "at": _point(part.at, system),
        "people": str(part.people),
        "pull": _words(part.effort) or _figure(part.pull, "force", system),
        "about": _words(part.about),
    }


def _gear(part: Gear, system: System) -> dict[str, str | None]:
    at = quoted(part.at) if isinstance(part.at, str) else _point(part.at, system) if part.at else None
    usual = DEFAULT_JOIN if isinstance(part.at, str) else ()
    return {
        "is": quoted(part.type),
        "at": at,
        "via": None if part.via == usual else "[" + ", ".join(map(quoted, part.via)) + "]",
        "over": "[" + ", ".join(map(quoted, part.over)) + "]" if part.over else None,
        "state": None if part.state == "running" else part.state,
        "about": _words(part.about),
    }


def _ropes(ropes: Mapping[str, Rope], system: System) -> Iterator[str]:
    if ropes:
        yield ""
        yield "ropes:"
    for name, rope in ropes.items():
        yield f"  {quoted(name)}:"
        yield f"    is: {quoted(rope.type)}"
        if rope.length is not None:
            yield f"    length: {_length(rope.length, system)}"
        yield "    run:" if rope.run else "    run: []"
        yield from (f"      - {write_contact(contact, system)}" for contact in rope.run)
        if rope.about:
            yield f"    about: {quoted(rope.about)}"


def _motion(word: str, way: str, motion: Motion | None, system: System) -> list[str]:
    if motion is None:
        return []
    return [f"{word}: {{load: {quoted(motion.load)}, {way}: {_length(motion.distance, system)}}}"]


def _figures(rig: Rig, name: str, catalogue: Catalogue | None) -> dict[str, str | None]:
    entries = rig.assume[name]
    of_rope = "mass" in entries and _is_rope(rig, name, catalogue)
    return {
        key: write_quantity(value, figure_key(key, of_rope=of_rope).kind, rig.units)
        for key, value in entries.items()
    }


def _is_rope(rig: Rig, name: str, catalogue: Catalogue | None) -> bool:
    if any(name in section for section in (rig.points, rig.loads, rig.crews, rig.gear, rig.ropes)):
        return name in rig.ropes
    known = catalogue if catalogue is not None else load_catalogue()
    return name in known and known[name].family == "rope"


def _policy(rig: Rig) -> Iterator[str]:
    if rig.policy:
        yield ""
        yield "policy:"
        yield from (f"  {name}: {_rule(name, value, rig.units)}" for name, value in rig.policy.items())


def _rule(name: str, value: PolicyValue, system: System) -> str:
    kind = POLICY_KEYS[name].kind
    if kind == "words":
        return quoted(str(value))
    if kind == "yes-no" or kind == "count":
        return str(value).lower()
    return write_quantity(Range.exactly(float(value)), kind, system)
