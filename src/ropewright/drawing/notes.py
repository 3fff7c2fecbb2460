"""Arrows and arcs: what pulls which way, and the angles that are named."""

from __future__ import annotations

import cmath
import math

from ropewright.quantity import Units

from .angles import Named
from .cluster import Key
from .geometry import Box, around, cross, unit
from .ink import Sketch
from .layout import Layout
from .ropes import Strand
from .symbols import HANGS, downward
from .words import Label, Wanted, angle_words, drawn_angle, hand_way, pull_words, weight_words

__all__ = ["draw_notes"]

FOOT = {"person": 46.0, "litter": 44.0, "object": 40.0, "pack": 40.0}
DOWN = 8.0
"""Radius of the sign of a weight in a plan, where its load has a sign of its own."""
TRUE = math.radians(5)
"""How far [rad] an angle on the page may be off before the label says so."""


def draw_notes(ink: Sketch, layout: Layout, units: Units) -> list[Wanted]:
    """Draw the arrows and arcs; return their labels."""
    out = [_weight(ink, layout, name, units) for name in layout.subject.rig.loads]
    for key, verb in layout.tree.verb.items():
        if verb == "hand":
            found = _pull(ink, layout, key, units)
            if found is not None:
                out.append(found)
    for named in layout.angles:
        found = _angle(ink, layout, named)
        if found is not None:
            out.append(found)
    return out


def _weight(ink: Sketch, layout: Layout, name: str, units: Units) -> Wanted:
    foot = layout.at[name] + 1j * FOOT.get(layout.tree.kind(name), 40.0)
    label = weight_words(layout, name, units)
    if layout.view == "plan":
        if layout.tree.kind(name) in ("object", "pack"):  # its own sign says so
            return Wanted(label, around([layout.at[name]], HANGS), kind="note")
        downward(ink, foot + 12j, DOWN)
        return Wanted(label, around([foot + 12j], DOWN), kind="note")
    ink.arrow(foot + 4j, foot + 38j, 2.4)
    return Wanted(label, Box(foot.real - 5, foot.imag + 4, foot.real + 5, foot.imag + 38), kind="note")


def _pull(ink: Sketch, layout: Layout, key: Key, units: Units) -> Wanted | None:
    found = hand_way(layout, key)
    strand = next((s for s in layout.strands if s.second == key), None)
    if found is None or strand is None:
        return None
    stretch = layout.stretch.get((strand.first, key))
    if stretch is None or stretch.tension is None or stretch.slack:
        return None
    at, way = found
    if layout.subject.node[layout.tree.part[key]] == _node(layout, strand.first):
        ink.arrow(at + way * 7, at + way * 34, 2.0)
        return Wanted(
            _pull_label(layout, key, stretch.tension, units), around([at + way * 20], 6.0), kind="note"
        )
    beside = _free_side(layout, strand, at, way)
    length = min(40.0, abs(strand.end - strand.start) * 0.5)
    a, b = at - way * (10 + length) + beside * 9, at - way * 10 + beside * 9
    ink.arrow(a, b, 2.0)
    return Wanted(_pull_label(layout, key, stretch.tension, units), around([a, b], 3.0), kind="note")


def _node(layout: Layout, key: Key) -> int:
    part = layout.tree.part[key]
    return layout.subject.node[part] if part else -1


def _pull_label(layout: Layout, key: Key, force: float, units: Units) -> Label:
    return pull_words(force, units, key[0] if len(layout.subject.rig.ropes) > 1 else "")


def _free_side(layout: Layout, strand: Strand, at: complex, way: complex) -> complex:
    """The side of a strand on which its neighbours are farther off."""
    n = way * 1j
    near = []
    for sign in (1, -1):
        probe = at - way * 28 + n * sign * 10
        gaps = [_distance(probe, s) for s in layout.strands if s is not strand]
        near.append(min(gaps, default=1e9))
    return n if near[0] >= near[1] else -n


def _distance(p: complex, strand: Strand) -> float:
    run = strand.end - strand.start
    size = abs(run) ** 2
    share = 0.0 if size == 0 else ((p - strand.start) * run.conjugate()).real / size
    return abs(p - strand.start - run * max(0.0, min(1.0, share)))


def _meeting(a: complex, u: complex, b: complex, v: complex, otherwise: complex) -> complex:
    """Where the line through a along u meets the one through b along v."""
    bottom = cross(u, v)
    if abs(bottom) < 0.05:
        return otherwise
    return a + u * (cross(b - a, v) / bottom)


def _angle(ink: Sketch, layout: Layout, named: Named) -> Wanted | None:
    if len(named.keys) == 1:
        before = next((s for s in layout.strands if s.second == named.keys[0]), None)
        after = next((s for s in layout.strands if s.first == named.keys[0]), None)
        if before is None or after is None:
            return None
        back, on = unit(before.start - before.end), unit(after.end - after.start)
        apex = _meeting(before.end, back, after.start, on, layout.spots[named.keys[0]].at)
        reach = max(abs(before.end - apex), abs(after.start - apex))
    else:
        legs = [_leg(layout, key) for key in named.keys]
        if any(leg is None for leg in legs):
            return None
        (a, back), (b, on) = (leg for leg in legs if leg is not None)
        apex = _meeting(a, back, b, on, layout.at[named.part])
        reach = max(abs(a - apex), abs(b - apex))
    if abs(apex - layout.at[named.part]) > 120:
        apex = layout.at[named.part]
        reach = 30.0
    if named.kind == "deflection":
        return _deflection(ink, named, apex, -back, on, reach)
    return _interior(ink, named, apex, back, on, reach)


def _leg(layout: Layout, key: Key) -> tuple[complex, complex] | None:
    for s in layout.strands:
        if s.first == key:
            return s.start, unit(s.end - s.start)
        if s.second == key:
            return s.end, unit(s.start - s.end)
    return None


def _interior(ink: Sketch, named: Named, apex: complex, a: complex, b: complex, reach: float) -> Wanted:
    radius = min(reach + 24.0, 96.0)
    sweep = cmath.phase(b / a)
    ink.arc(apex, radius, cmath.phase(a), sweep)
    middle = a * cmath.exp(0.5j * sweep)
    true = abs(drawn_angle(a, b) - named.value) < TRUE
    return _beside(angle_words("interior", named.value, true, named.flat), apex, middle, radius)


def _deflection(
    ink: Sketch, named: Named, apex: complex, ahead: complex, on: complex, reach: float
) -> Wanted:
    radius = min(reach + 22.0, 70.0)
    ink.line(apex, apex + ahead * (radius + 14), 1.0, "note", dash="4 3")
    sweep = cmath.phase(on / ahead)
    ink.arc(apex, radius, cmath.phase(ahead), sweep)
    middle = ahead * cmath.exp(0.5j * sweep)
    true = abs(drawn_angle(ahead, on) - named.value) < TRUE
    return _beside(angle_words("deflection", named.value, true, named.flat), apex, middle, radius)


def _beside(label: Label, apex: complex, way: complex, radius: float) -> Wanted:
    at = apex + way * (radius + 1)
    return Wanted(label, Box(at.real - 2, at.imag - 2, at.real + 2, at.imag + 2), kind="angle")
