"""What may be changed to see what would be: masses, friction, people, where a point stands.

A knob is one number of a rig in the team's own unit. It turns the rig as it was read, which is quick, and the
text, which keeps every comment; both come to the same rig.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from ropewright.quantity import Range
from ropewright.quantity.units import UNITS
from ropewright.rig import Rig
from ropewright.rig.editing import change_part
from ropewright.rig.editing.figures import state_figure
from ropewright.rig.editing.page import open_page
from ropewright.rig.editing.words import typed

__all__ = ["Knob", "Turned", "knobs_of", "text_of", "turned"]

Group = Literal["Loads", "Friction", "People", "Places"]
MOST_PLACES = 12
"""Points and crews that can be moved: more would be a page of numbers that nobody reads."""


@dataclass(frozen=True, slots=True)
class Knob:
    """One number. ``key`` names it in an address; ``base``, ``least`` and ``most`` in the unit shown."""

    key: str
    group: Group
    label: str
    unit: str
    base: float
    least: float
    most: float
    step: float
    turn: Callable[[Rig, float], Rig]
    write: Callable[[str, float], str]


@dataclass(frozen=True, slots=True)
class Turned:
    """A rig with its knobs turned: what each stands at, which were turned, and what could not be read."""

    rig: Rig
    values: Mapping[str, float]
    changed: tuple[Knob, ...]
    wrong: Mapping[str, str]


def knobs_of(rig: Rig, used: Iterable[tuple[str, str, float]], first: Literal["metric", "us"]) -> list[Knob]:
    """Every knob of a rig. ``used``: the figures that it was worked out with, as key, owner, likely value."""
    mass, length = ("lb", "ft") if first == "us" else ("kg", "m")
    out = [_mass(rig, name, mass) for name in rig.loads]
    out += [_people(rig, name) for name in rig.crews]
    lowering = rig.lower is not None or rig.haul is None
    out += _friction(used, [key for key in _FRICTION if key != "ratio" or lowering])
    depth = (
        len({at[1] for at in (*(p.at for p in rig.points.values()), *(c.at for c in rig.crews.values()))}) > 1
    )
    movable = [name for name, place in rig.points.items() if place.kind in ("anchor", "edge")]
    for name in [*movable, *rig.crews][:MOST_PLACES]:
        for axis in (0, 1, 2) if depth else (0, 2):
            out.append(_place(rig, name, axis, length))
    return out


def turned(rig: Rig, knobs: list[Knob], asked: Mapping[str, str]) -> Turned:
    """The rig with what an address asks for; a number that can't be is told and leaves its knob alone."""
    values: dict[str, float] = {}
    changed, wrong = [], {}
    for knob in knobs:
        values[knob.key] = knob.base
        word = asked.get(knob.key, "").strip().replace(",", ".")
        if not word:
            continue
        value = _number(word)
        if value is None or not knob.least <= value <= knob.most:
            wrong[knob.key] = (
                f"{knob.label}: found “{word[:20]}”; write a number from {knob.least:g} to {knob.most:g}"
            )
        elif abs(value - knob.base) > 1e-9:
            values[knob.key] = value
            rig = knob.turn(rig, value)
            changed.append(knob)
    return Turned(rig, values, tuple(changed), wrong)


def text_of(text: str, done: Turned) -> str:
    """The text with the same knobs turned. Errors: EditError where it is written in an unusual way."""
    for knob in done.changed:
        text = knob.write(text, done.values[knob.key])
    return text


def _number(word: str) -> float | None:
    try:
        value = float(word)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _shown(value: float, digits: int = 4) -> float:
    return float(f"{value:.{digits}g}")


def _mass(rig: Rig, name: str, unit: str) -> Knob:
    si = UNITS[unit].si

    def turn(rig: Rig, value: float) -> Rig:
        load = replace(rig.loads[name], mass=Range.exactly(value * si))
        return replace(rig, loads={**rig.loads, name: load})

    def write(text: str, value: float) -> str:
        return change_part(text, name, {"mass": f"{value:.10g} {unit}"})

    base = _shown(rig.loads[name].mass.likely / si)
    top = max(200.0 if unit == "kg" else 440.0, math.ceil(3 * base / 10) * 10)
    return Knob(f"mass.{name}", "Loads", f"mass of {name}", unit, base, 1.0, top, 1.0, turn, write)


def _people(rig: Rig, name: str) -> Knob:
    def turn(rig: Rig, value: float) -> Rig:
        return replace(rig, crews={**rig.crews, name: replace(rig.crews[name], people=round(value))})

    def write(text: str, value: float) -> str:
        return change_part(text, name, {"people": str(round(value))})

    base = float(rig.crews[name].people)
    return Knob(f"people.{name}", "People", f"people at {name}", "", base, 1.0, 20.0, 1.0, turn, write)


_FRICTION: Mapping[str, tuple[str, float, float, float]] = {
    "efficiency": ("efficiency of {}", 0.05, 1.0, 0.01),
    "friction": ("friction on {}", 0.0, 1.0, 0.01),
    "ratio": ("load over hand, lowering through {}", 1.0, 100.0, 1.0),
}


def _friction(used: Iterable[tuple[str, str, float]], keys: Sequence[str]) -> list[Knob]:
    """One knob for each figure of friction that something in the rig has."""
    figures = {(key, by): likely for key, by, likely in used if key in keys}
    return [_figure(key, by, likely) for (key, by), likely in figures.items()]


def _figure(key: str, by: str, likely: float) -> Knob:
    def turn(rig: Rig, value: float) -> Rig:
        figures = {**rig.assume.get(by, {}), key: Range.exactly(value)}
        return replace(rig, assume={**rig.assume, by: figures})

    def write(text: str, value: float) -> str:
        return state_figure(text, by, key, f"{value:.10g}")

    words, least, most, step = _FRICTION[key]
    base = _shown(likely)
    top = max(most, base)
    return Knob(
        f"{key}.{by}", "Friction", words.format(by), "", base, min(least, base), top, step, turn, write
    )


_AXES = ("x", "y", "z")
_WAYS = ("to the right", "away", "up")


def _place(rig: Rig, name: str, axis: int, unit: str) -> Knob:
    si = UNITS[unit].si

    def at(rig: Rig) -> tuple[float, float, float]:
        return rig.points[name].at if name in rig.points else rig.crews[name].at

    def turn(rig: Rig, value: float) -> Rig:
        here = list(at(rig))
        here[axis] = value * si
        spot = (here[0], here[1], here[2])
        if name in rig.points:
            return replace(rig, points={**rig.points, name: replace(rig.points[name], at=spot)})
        return replace(rig, crews={**rig.crews, name: replace(rig.crews[name], at=spot)})

    def write(text: str, value: float) -> str:
        return _written_at(text, name, axis, f"{value:.10g} {unit}")

    base = _shown(at(rig)[axis] / si, 6)
    room = max(5.0, abs(base)) if unit == "m" else max(16.0, abs(base))
    label = f"{name}, {_WAYS[axis]}"
    return Knob(
        f"{_AXES[axis]}.{name}", "Places", label, unit, base, base - room, base + room, 0.1, turn, write
    )


def _written_at(text: str, name: str, axis: int, figure: str) -> str:
    """The text with one coordinate of a part changed, the others as they are written."""
    page = open_page(text)
    section = next(s for s in ("points", "crews") if name in (page.value.get(s) or {}))
    there = [piece.strip() for piece in typed(page, (section, name, "at")).split(",")]
    if len(there) == 2 and axis == 1:
        there.insert(1, "0")
    there[-1 if axis == 2 else axis] = figure
    return change_part(text, name, {"at": ", ".join(there)})
