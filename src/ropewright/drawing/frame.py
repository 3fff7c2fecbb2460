"""A small picture for a row of them: only what is rigged, names instead of figures, what changed ringed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from ropewright.quantity import System, Units, first_system, show_length

from .bodies import draw_bodies
from .geometry import Box, around
from .ink import INK, PAPER, Sketch
from .labels import Board
from .layout import Layout, lay_out
from .page import Room
from .palette import strokes
from .picture import MARGIN, Picture, extent, letter, named_strands, part_box
from .rope_ink import draw_ropes
from .subject import Subject
from .svg import write_svg
from .text import plain, width
from .words import SIZE, Label, Wanted, points_along, short

__all__ = ["Marked", "draw_frame", "without_idle"]

SMALL = Room(width=190.0, height=180.0, detail=95.0, gap=54.0, clear=44.0)
"""Room for the points of a small picture."""
RING = 3.2
TAG = 8.5


@dataclass(frozen=True)
class Marked:
    """What is to be seen first: ``tag``, the number of the step, at what it changed.

    ``parts`` are ringed; ``hands`` are ropes whose end is ringed at the hand or where the hand was;
    ``ties`` are ropes and the parts at which they were tied or untied; ``moved`` gives the rise [m] of what
    came up or down; ``notes`` are further words under a part's name.
    """

    tag: str = ""
    parts: tuple[str, ...] = ()
    hands: tuple[str, ...] = ()
    ties: tuple[tuple[str, str], ...] = ()
    moved: Mapping[str, float] = field(default_factory=dict)
    notes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def without_idle(subject: Subject, keep: tuple[str, ...] = ()) -> Subject:
    """The subject without places and crews that nothing is rigged to; ``keep`` names some that stay."""
    rig = subject.rig
    used = {c.target for rope in rig.ropes.values() for c in rope.run if c.target} | set(keep)
    used |= {item.at for item in rig.gear.values() if isinstance(item.at, str)}
    used |= {name for item in rig.gear.values() for name in item.over}
    points = {name: p for name, p in rig.points.items() if name in used}
    crews = {name: c for name, c in rig.crews.items() if name in used}
    parts = {*points, *crews, *rig.loads, *rig.gear}
    nodes = sorted({n for name, n in subject.node.items() if name in parts})
    index = {n: k for k, n in enumerate(nodes)}
    return replace(
        subject,
        rig=replace(rig, points=points, crews=crews),
        names=tuple(subject.names[n] for n in nodes),
        node={name: index[n] for name, n in subject.node.items() if name in parts},
        position=subject.position[nodes] if nodes else subject.position[:0],
        fixed=tuple(subject.fixed[n] for n in nodes),
    )


def draw_frame(
    subject: Subject, marked: Marked, units: Units = "both", alt: str = "", ropes: Sequence[str] = ()
) -> Picture:
    """Draw a subject small. ``alt`` is said of it to people who don't see it; ``ropes`` are all ropes of the
    row in order, so that each has the same line in every picture.
    """
    layout = lay_out(subject, "side", 0.0, SMALL)
    ink = Sketch()
    lines = strokes(list(dict.fromkeys([*ropes, *subject.rig.ropes])))
    draw_bodies(ink, layout, lines)
    draw_ropes(ink, layout, lines)
    tags = [*_rings(ink, layout, marked), *_arrows(ink, layout, marked)]
    rows = [[s.start.real, s.start.imag, s.end.real, s.end.imag, 2.0] for s in layout.strands]
    board = Board(ink.boxes, ink.lines, np.array(rows, dtype=np.float64).reshape(-1, 5))
    letters = Sketch()
    _tags(letters, board, tags, marked.tag)
    board.column([w for w in _wanted(layout, marked, units) if not board.settle(w)])
    for settled in board.placed:
        letter(letters, settled)
    box = extent(ink, letters, board)
    page = Box(box.left - MARGIN, box.top - MARGIN, box.right + MARGIN, box.bottom + MARGIN)
    wide, high = math.ceil(page.right - page.left), math.ceil(page.bottom - page.top)
    page = Box(page.left, page.top, page.left + wide, page.top + high)
    svg = write_svg((ink, letters), page, plain(subject.rig.rig, 120), alt)
    return Picture(svg, wide, high, alt)


def _rings(ink: Sketch, layout: Layout, marked: Marked) -> list[complex]:
    """Draw a heavy outline round each thing that changed; return where their tags go."""
    out = [part_box(layout, name).grown(4.0) for name in marked.parts if name in layout.at]
    for rope in marked.hands:
        ends = [key for key in layout.spots if key[0] == rope]
        if ends:
            out.append(around([layout.spots[max(ends)].at], 13.0))
    for rope, part in marked.ties:
        knots = [
            key for key, verb in layout.tree.verb.items() if verb == "tie" and layout.tree.part[key] == part
        ]
        own = [key for key in knots if key[0] == rope and key in layout.spots]
        if own:
            out.append(around([layout.spots[own[-1]].at], 13.0))
        elif part in layout.at:
            out.append(part_box(layout, part).grown(4.0))
    for box in out:
        _outline(ink, box)
    return [complex(box.left, box.top) for box in out]


def _outline(ink: Sketch, box: Box) -> None:
    """A rectangle with round corners in a stroke heavier than any rope's."""
    ink.add(
        "note",
        "rect",
        x=f"{box.left:.2f}",
        y=f"{box.top:.2f}",
        width=f"{box.right - box.left:.2f}",
        height=f"{box.bottom - box.top:.2f}",
        rx=f"{min(11.0, (box.right - box.left) / 2):.2f}",
        fill="none",
        stroke=INK,
        stroke_width=f"{RING:g}",
    )
    ink.boxes.append(box.grown(RING / 2))


def _arrows(ink: Sketch, layout: Layout, marked: Marked) -> list[complex]:
    """Draw an arrow beside each load that moved, the way that it went; return where their tags go."""
    out = []
    for name, rise in marked.moved.items():
        if name not in layout.at:
            continue
        box = part_box(layout, name)
        x = box.right + 14
        top, bottom = complex(x, box.bottom - 62), complex(x, box.bottom)
        a, b = (bottom, top) if rise > 0 else (top, bottom)
        ink.arrow(a, b, 4.5, head=15.0)
        out.append(a)
    return out


def _tags(letters: Sketch, board: Board, places: list[complex], tag: str) -> None:
    """The number of the step at each mark."""
    if not tag:
        return
    for at in places:
        half = max(TAG, width(tag, SIZE, "bold") / 2 + 3.5)
        letters.add(
            "note",
            "rect",
            x=f"{at.real - half:.2f}",
            y=f"{at.imag - TAG:.2f}",
            width=f"{2 * half:.2f}",
            height=f"{2 * TAG:.2f}",
            rx=f"{TAG:g}",
            fill=PAPER,
            stroke=INK,
            stroke_width="2.2",
        )
        wide = width(tag, SIZE, "bold")
        letters.text(at + complex(-wide / 2, SIZE * 0.35), tag, SIZE, wide, "bold")
        board.taken = np.vstack([board.taken, [at.real - half, at.imag - TAG, at.real + half, at.imag + TAG]])


def _wanted(layout: Layout, marked: Marked, units: Units) -> list[Wanted]:
    out = []
    for name, body in layout.tree.bodies.items():
        lines = [(short(name), "bold")]
        item = layout.subject.rig.gear.get(name)
        if item is not None and item.state == "locked-off":
            lines.append(("locked off", "normal"))
        if any(layout.subject.contact(*key).reversed for key in body.lanes):
            lines.append(("WRONG WAY ROUND", "bold"))
        lines += [(plain(words, 40), "normal") for words in marked.notes.get(name, ())]
        out.append(Wanted(Label(tuple(lines)), part_box(layout, name)))
    named = named_strands(layout)
    for k, strand in enumerate(layout.strands):
        lines = [(short(strand.rope), "bold")] if strand in named else []
        stretch = layout.stretch.get((strand.first, strand.second))
        slack = layout.subject.contact(*strand.second).slack
        if stretch is not None and stretch.slack and slack > 0:
            lines += [(words, "normal") for words in _slack(slack, units)]
        if lines and layout.tree.verb[strand.second] != "tail":
            across = (strand.end - strand.start) * 1j
            across = across / abs(across) if across else 1.0
            across = across if across.real > 0 else -across
            out.append(Wanted(Label(tuple(lines)), None, points_along(layout, strand), across, k, "strand"))
    return out


def _slack(slack: float, units: Units) -> list[str]:
    """Slack in one line for each system of units, which keeps the picture narrow."""
    if units in ("metric", "us"):
        return [f"slack {show_length(slack, units)}"]
    first = first_system(units)
    then: System = "metric" if first == "us" else "us"
    return [f"slack {show_length(slack, first)}", f"({show_length(slack, then)})"]
