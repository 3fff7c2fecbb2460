"""Ropes on the sketch: one path for each, round its drums, with breaks and slack shown."""

from __future__ import annotations

import math
from collections.abc import Mapping

from .geometry import around, unit
from .ink import INK, PAPER, Sketch, number
from .layout import Layout
from .palette import Stroke
from .ropes import Strand

__all__ = ["draw_ropes"]

WAVES, SWING = 5, 3.4


def draw_ropes(ink: Sketch, layout: Layout, strokes: Mapping[str, Stroke]) -> None:
    """Draw every rope, the later ones of the file over the earlier, and the signs that ride on them."""
    wraps = {w.key: w for w in layout.wraps}
    for rope, stroke in strokes.items():
        own = [s for s in layout.strands if s.rope == rope]
        if not own:
            continue
        d = f"M{_xy(own[0].start)}"
        for strand in own:
            d += _strand(ink, layout, strand)
            wrap = wraps.get(strand.second)
            if wrap is None or wrap.angle < 1e-4:
                continue
            large = "1" if wrap.angle > math.pi else "0"
            way = "1" if wrap.sense > 0 else "0"
            r = number(wrap.radius)
            d += f"A{r} {r} 0 {large} {way} {_xy(wrap.end)}"
            ink.boxes.append(around([wrap.centre], wrap.radius))
            _keep_off_arc(ink, wrap.centre, wrap.start, wrap.angle * wrap.sense)
        ink.add("rope", "path", d=d, fill="none", stroke=PAPER, stroke_width=number(stroke.width + 2.6))
        more = {"stroke_dasharray": stroke.dash} if stroke.dash else {}
        ink.add(
            "rope",
            "path",
            d=d,
            fill="none",
            stroke=stroke.colour,
            stroke_width=number(stroke.width),
            stroke_linejoin="round",
            **more,
        )
    for strand in layout.strands:
        for at in layout.marks.get((strand.first, strand.second), ()):
            _break(ink, at, unit(strand.end - strand.start))
        _one_way(ink, layout, strand, strokes[strand.rope])
        if layout.tree.verb[strand.second] == "tail":
            _free_end(ink, strand, strokes[strand.rope])


def _xy(p: complex) -> str:
    return f"{number(p.real)} {number(p.imag)}"


def _keep_off_arc(ink: Sketch, centre: complex, start: complex, sweep: float) -> None:
    steps = max(1, math.ceil(abs(sweep) / 0.5))
    spoke = start - centre
    for k in range(steps):
        a = centre + spoke * complex(math.cos(sweep * k / steps), math.sin(sweep * k / steps))
        b = centre + spoke * complex(math.cos(sweep * (k + 1) / steps), math.sin(sweep * (k + 1) / steps))
        ink.keep_off(a, b, 2.0)


def slack(layout: Layout, strand: Strand) -> bool:
    """Whether a strand is drawn as one that hangs slack."""
    stretch = layout.stretch.get((strand.first, strand.second))
    part = layout.tree.verb[strand.second] == "tail"
    return stretch is not None and stretch.slack and not part and abs(strand.end - strand.start) > 40


def _strand(ink: Sketch, layout: Layout, strand: Strand) -> str:
    run = strand.end - strand.start
    if not slack(layout, strand):
        ink.keep_off(strand.start, strand.end, 2.0)
        return f"L{_xy(strand.end)}"
    way = unit(run)
    n = way * 1j
    marks = layout.marks.get((strand.first, strand.second), ())
    length = min(abs(run) * (0.34 if marks else 0.5), 70.0)
    middle = (strand.start + strand.end) / 2
    if marks and abs(marks[0] - middle) < length / 2 + 8:  # the break has its own place
        middle = marks[0] + way * (length / 2 + 12)
        if abs(middle - strand.start) + length / 2 > abs(run) - 6:
            middle = marks[0] - way * (length / 2 + 12)
    a, b = middle - way * length / 2, middle + way * length / 2
    ink.keep_off(strand.start, a, 2.0)
    ink.keep_off(a, b, 2.0 + SWING)
    ink.keep_off(b, strand.end, 2.0)
    step = way * length / WAVES
    d = f"L{_xy(a)}"
    for k in range(WAVES):
        p = a + step * k
        swing = n * SWING * 2 * (1 if k % 2 == 0 else -1)
        d += f"C{_xy(p + step * 0.35 + swing * 0.75)} {_xy(p + step * 0.65 + swing * 0.75)} {_xy(p + step)}"
    return f"{d}L{_xy(strand.end)}"


def _break(ink: Sketch, at: complex, way: complex) -> None:
    """Two short strokes across a strand with nothing between them: a piece is left out here."""
    n = way * 1j
    ink.line(at - way * 3.2, at + way * 3.2, 8.0, "rope", PAPER, cap="butt")
    for sign in (-1, 1):
        middle = at + way * 3.6 * sign
        ink.shape(
            [
                middle - n * 8 - way * 2,
                middle - n * 2 + way * 2.5,
                middle + n * 2 - way * 2.5,
                middle + n * 8 + way * 2,
            ],
            PAPER,
            1.3,
            "rope",
            closed=False,
            colour=INK,
        )


def _one_way(ink: Sketch, layout: Layout, strand: Strand, stroke: Stroke) -> None:
    """At a one-way device: a head on the rope, the way it is let through."""
    for key, forward in ((strand.first, True), (strand.second, False)):
        if layout.tree.verb[key] != "through":
            continue
        contact = layout.subject.contact(*key)
        item = layout.subject.rig.gear.get(contact.target or "")
        if item is None or not layout.subject.catalogue[item.type].holding.one_way:
            continue
        if contact.reversed == forward:
            continue
        way = unit(strand.end - strand.start) * (1 if forward else -1)
        root = strand.start if forward else strand.end
        if abs(strand.end - strand.start) > 34:
            ink.head(root + way * 29, way, "front", 9.0, stroke.colour)


def _free_end(ink: Sketch, strand: Strand, stroke: Stroke) -> None:
    """The end of a free tail: a whipped end."""
    way = unit(strand.end - strand.start)
    n = way * 1j
    ink.line(strand.end - n * 4, strand.end + n * 4, 2.0, "front", stroke.colour)
