"""What is written on the picture, and where each piece of it belongs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ropewright.quantity import (
    STANDARD_GRAVITY,
    Units,
    show_angle,
    show_force,
    show_length,
    show_mass,
    show_range,
)

from .cluster import Key
from .geometry import Box, dot, unit
from .layout import Layout
from .ropes import Strand
from .text import plain, width

__all__ = ["LINE", "SIZE", "Label", "Wanted", "part_words", "rope_words", "strand_words"]

SIZE = 12.0
LINE = 14.5
NAME = 28
"""Longest name [characters] that stands on the picture whole."""


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text, each with its weight; the first is the name where there is one."""

    lines: tuple[tuple[str, str], ...]

    @property
    def width(self) -> float:
        return max(width(words, SIZE, weight) for words, weight in self.lines)

    @property
    def height(self) -> float:
        return LINE * (len(self.lines) - 1) + SIZE * 1.12

    @property
    def words(self) -> str:
        """The whole label in one line."""
        return ", ".join(words for words, _ in self.lines)


@dataclass(frozen=True)
class Wanted:
    """A label that has to find its place: beside a part's ``box``, or along a strand's ``points``.

    ``across`` is the direction in which a strand's label stands off; ``owner`` the index of that strand.
    """

    label: Label
    box: Box | None
    points: tuple[complex, ...] = ()
    across: complex = 1.0
    owner: int = -1
    kind: str = "part"


def short(name: str) -> str:
    """A name made fit for the picture."""
    return plain(name, NAME)


def part_words(layout: Layout, name: str, units: Units) -> Label | None:
    """What stands beside a part."""
    subject, rig = layout.subject, layout.subject.rig
    lines: list[tuple[str, str]] = [(short(name), "bold")]
    if name in rig.points:
        place = rig.points[name]
        below = _below(layout, name)
        if place.kind == "ground" and below is not None:
            lines.append((f"{show_length(below[1], units)} below {short(below[0])}", "normal"))
        if place.kind == "edge":
            lines.append((f"{short(place.surface or 'edge')}, {short(place.protection or 'bare')}", "normal"))
        elif place.kind == "anchor":
            force = subject.bears.get(name)
            if force is not None and float(np.linalg.norm(force)) > 1.0:
                lines.append((f"carries {show_force(float(np.linalg.norm(force)), units)}", "normal"))
            if place.strength is None:
                lines.append(("strength not stated", "normal"))
    elif name in rig.loads:
        load = rig.loads[name]
        lines.append((f"{load.kind}, wears {short(load.wears)}" if load.wears else load.kind, "normal"))
    elif name in rig.crews:
        people = rig.crews[name].people
        lines.append((f"{people} people" if people > 1 else "1 person", "normal"))
    else:
        lines += _gear_words(layout, name)
    lines += _knots(layout, name)
    return Label(tuple(lines))


def _below(layout: Layout, place: str) -> tuple[str, float] | None:
    """The load that is nearest above a place, and its height over it."""
    if layout.view == "plan":
        return None
    here = layout.subject.position[layout.subject.node[place]]
    found = []
    for name in layout.subject.rig.loads:
        apart = layout.subject.position[layout.subject.node[name]] - here
        if apart[2] > 0.05:
            found.append((float(apart[2]), name))
    return min((name, height) for height, name in [min(found)]) if found else None


def _gear_words(layout: Layout, name: str) -> list[tuple[str, str]]:
    item = layout.subject.rig.gear[name]
    lines = [(short(item.type), "normal")]
    if item.state != "running":
        lines.append((item.state.replace("-", " "), "bold"))
    joins = layout.tree.bodies[name].joins
    if len(joins) > 1 or (joins and joins[0] != "carabiner-locking"):
        lines.append((f"on {' + '.join(short(j) for j in joins)}", "normal"))
    for key in layout.tree.bodies[name].lanes:
        if layout.subject.contact(*key).reversed:
            lines.append(("the wrong way round", "bold"))
            break
    return lines


def _knots(layout: Layout, name: str) -> list[tuple[str, str]]:
    found = []
    for key in layout.tree.bodies[name].lanes:
        knot = layout.subject.contact(*key).knot
        if knot and knot not in found:
            found.append(knot)
    return [(short(knot), "normal") for knot in found]


def strand_words(layout: Layout, strand: Strand, units: Units, named: frozenset[Strand]) -> Label | None:
    """What stands beside a strand: its rope where there are several, its tension, its length where broken."""
    stretch = layout.stretch.get((strand.first, strand.second))
    if stretch is None or layout.tree.verb[strand.second] == "tail":
        return None
    several = len(layout.subject.rig.ropes) > 1 and strand in named
    if layout.tree.verb[strand.second] == "hand" and not stretch.slack and stretch.tension is not None:
        return None  # the arrow of the pull says it
    words = []
    if stretch.slack:
        laid = layout.subject.contact(*strand.second).slack
        words.append(f"slack {show_length(laid, units)}" if laid > 0 else "slack")
    elif stretch.tension is not None:
        words.append(show_force(stretch.tension, units))
    seen = _seen(layout, strand)
    lines = []
    if several:
        lines.append((short(strand.rope), "bold"))
    lines += [(w, "normal") for w in words]
    if seen:
        lines.append((f"{show_length(stretch.length, units)} {seen}", "normal"))
    elif layout.marks.get((strand.first, strand.second)):
        lines.append((f"{show_length(stretch.length, units)} long", "normal"))
    return Label(tuple(lines)) if lines else None


def _seen(layout: Layout, strand: Strand) -> str:
    """How a strand runs that is seen nearly end on; nothing where it is seen from its side."""
    names = [layout.tree.part[key] for key in (strand.first, strand.second)]
    if not all(names):
        return ""
    a, b = (layout.subject.position[layout.subject.node[name]] for name in names)
    apart = np.abs(b - a)
    length = float(np.linalg.norm(apart))
    hidden = float(apart[2] if layout.view == "plan" else apart[1])
    if length < 0.05 or hidden < 0.96 * length:
        return ""
    return "plumb" if layout.view == "plan" else "away from you"


def rope_words(layout: Layout, rope: str, units: Units) -> str:
    """The legend's words for a rope."""
    item = layout.subject.rig.ropes[rope]
    length = "" if item.length is None else f", {show_length(item.length, units)} on hand"
    return f"{short(rope)}: {short(item.type)}{length}"


def weight_words(layout: Layout, load: str, units: Units) -> Label:
    """A load's mass and its weight."""
    item = layout.subject.rig.loads[load]
    mass = (
        show_range(item.mass, "mass", units)
        if not item.mass.is_single
        else show_mass(item.mass.likely, units)
    )
    weight = show_force(item.mass.likely * STANDARD_GRAVITY, units)
    if layout.view != "plan":
        return Label(((mass, "normal"), (f"weight {weight}", "normal")))
    pulled = [s for s in layout.subject.stretches if s.tension is not None and not s.slack]
    hung = any(load in (layout.tree.part[s.rope, k] for k in (s.first, s.second)) for s in pulled)
    return Label(((mass, "normal"), (f"{'hangs, ' if hung else ''}weight {weight} straight down", "normal")))


def pull_words(force: float, units: Units, rope: str = "") -> Label:
    """A hand's pull, on which rope where there are several."""
    on = f" on {short(rope)}" if rope else ""
    return Label(((f"pull {show_force(force, units)}{on}", "normal"),))


def angle_words(kind: str, value: float, true_to_page: bool, flat: bool) -> Label:
    """The name of an angle and its size."""
    first = f"{'interior angle' if kind == 'interior' else 'deflection'} {show_angle(value)}"
    if true_to_page:
        return Label(((first, "normal"),))
    return Label(((first, "normal"), ("(not to scale)" if flat else "(in space)", "normal")))


def points_along(layout: Layout, strand: Strand) -> tuple[complex, ...]:
    """Places on a strand where its label may point to, the middle first, clear of breaks."""
    run = strand.end - strand.start
    marks = layout.marks.get((strand.first, strand.second), ())
    shares = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)
    points = [strand.start + run * t for t in shares]
    clear = [p for p in points if all(abs(p - m) > 14 for m in marks)]
    return tuple(clear or points)


def hand_way(layout: Layout, key: Key) -> tuple[complex, complex] | None:
    """Where a hand holds its strand, and the way in which it pulls."""
    strand = next((s for s in layout.strands if s.second == key), None)
    if strand is None or abs(strand.end - strand.start) < 24:
        return None
    return strand.end, unit(strand.end - strand.start)


def drawn_angle(a: complex, b: complex) -> float:
    """The angle [rad] on the page between two directions."""
    return math.acos(max(-1.0, min(1.0, dot(unit(a), unit(b)))))
