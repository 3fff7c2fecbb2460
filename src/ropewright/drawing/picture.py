"""The picture of a rig, put together: layout, signs, words, and the SVG."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ropewright.catalogue import Catalogue
from ropewright.judgement.examine import Examination
from ropewright.quantity import Units, show_force, show_mass
from ropewright.rig import Rig

from .bodies import draw_bodies
from .cluster import SHEAVE
from .geometry import Box, unit
from .ink import GREY, INK, Sketch
from .labels import Board, Settled
from .layout import Layout, View, lay_out
from .notes import draw_notes
from .palette import Stroke, strokes
from .rope_ink import draw_ropes
from .ropes import Strand
from .subject import Subject, subject_of
from .svg import write_svg
from .symbols import HANGS, SOLES
from .text import plain, width, wrapped
from .words import LINE, SIZE, Wanted, part_words, points_along, rope_words, short, strand_words

__all__ = [
    "CAUTION",
    "MARGIN",
    "Drawing",
    "Picture",
    "compose",
    "draw_rig",
    "extent",
    "finish",
    "letter",
    "named_strands",
    "part_box",
]

CAUTION = (
    "Computed from what was entered, for planning and training under a qualified person. The maker's "
    "instructions, the authority having jurisdiction and a hands-on check before loading come first."
)
MARGIN = 18.0
TITLE = 17.0
LEAST_WIDTH = 360.0
MORE_ROOM = (70.0, 85.0, 100.0, 115.0, 130.0)
"""Room between columns tried where a label found no place, in steps: no rig gets wider than it must."""


@dataclass(frozen=True)
class Picture:
    """A finished picture: the SVG text, its size in page units (a unit is 1/96 inch), and a sentence that
    describes it.
    """

    svg: str
    width: float
    height: float
    alt: str


@dataclass(frozen=True)
class Drawing:
    """A picture before it is written: the layout, what is drawn, and the labels in their places."""

    layout: Layout
    sketch: Sketch
    labels: tuple[Settled, ...]
    letters: Sketch
    box: Box
    alt: str


def draw_rig(
    rig: Rig,
    catalogue: Catalogue,
    examination: Examination | None = None,
    *,
    view: View = "side",
    units: Units = "both",
    framed: bool = True,
) -> Picture:
    """Draw a rig.

    examination: what `examine` found, asked for here if left out. view: "side" shows x and z, "plan" x and y.
    framed: with title, state, key and caution, as a picture that stands alone needs them.
    """
    drawing = compose(subject_of(rig, catalogue, examination), view=view, units=units)
    return finish(drawing, units, framed)


def compose(subject: Subject, *, view: View = "side", units: Units = "both") -> Drawing:
    """Lay everything out and place every label; where labels find no place, with more room."""
    drawing, homeless = _composed(subject, view, units, 0.0)
    for air in MORE_ROOM:
        if not homeless:
            break
        other, left = _composed(subject, view, units, air)
        if left < homeless:
            drawing, homeless = other, left
    return drawing


def _composed(subject: Subject, view: View, units: Units, air: float) -> tuple[Drawing, int]:
    """A drawing, and how many of its labels had to go into a column beside it."""
    layout = lay_out(subject, view, air)
    ink = Sketch()
    lines = strokes(list(subject.rig.ropes))
    draw_bodies(ink, layout, lines)
    draw_ropes(ink, layout, lines)
    notes = draw_notes(ink, layout, units)
    rows = [[s.start.real, s.start.imag, s.end.real, s.end.imag, 2.0] for s in layout.strands]
    board = Board(ink.boxes, ink.lines, np.array(rows, dtype=np.float64).reshape(-1, 5))
    left = [w for w in _wanted(layout, notes, units) if not board.settle(w)]
    board.column(left)
    letters = Sketch()
    for settled in board.placed:
        letter(letters, settled)
    box = extent(ink, letters, board)
    return Drawing(layout, ink, tuple(board.placed), letters, box, _alt(subject)), len(left)


def _wanted(layout: Layout, notes: list[Wanted], units: Units) -> list[Wanted]:
    """All labels, those with the least choice first."""
    out = [n for n in notes if n.kind == "angle"]
    out += [n for n in notes if n.kind != "angle"]
    for name, body in layout.tree.bodies.items():
        if layout.view == "plan" and body.kind in ("ground", "stand"):
            continue
        words = part_words(layout, name, units)
        if words is not None:
            out.append(Wanted(words, part_box(layout, name)))
    several = {}
    named = named_strands(layout)
    for k, strand in enumerate(layout.strands):
        words = strand_words(layout, strand, units, named)
        if words is None:
            continue
        way = unit(strand.end - strand.start)
        across = way * 1j
        if abs(across.real) > 0.3:
            across = across if across.real > 0 else -across
        else:
            across = across if across.imag < 0 else -across
        several[k] = Wanted(words, None, points_along(layout, strand), across, k, "strand")
    order = sorted(several, key=lambda k: abs(layout.strands[k].end - layout.strands[k].start))
    return out + [several[k] for k in order]


def named_strands(layout: Layout) -> frozenset[Strand]:
    """The strands that bear their rope's name: the longest of each rope on the page, and every slack one."""
    out = []
    for rope in layout.subject.rig.ropes:
        own = [
            s for s in layout.strands if s.rope == rope and layout.tree.verb[s.second] not in ("tail", "hand")
        ]
        own = own or [s for s in layout.strands if s.rope == rope and layout.tree.verb[s.second] != "tail"]
        if own:
            out.append(max(own, key=lambda s: (round(abs(s.end - s.start), 3), s.first)))
    return frozenset(out)


def part_box(layout: Layout, name: str) -> Box:
    """The room that a part takes, for labels to stand beside."""
    at, axis = layout.at[name], layout.axis[name]
    body = layout.tree.bodies[name]
    side = layout.side.get(name, 1)
    match body.kind:
        case "object" | "pack" if layout.view == "plan":
            a, b = at - complex(HANGS, HANGS), at + complex(HANGS, HANGS)
        case "person" if body.stands:
            a, b = at + complex(-11 * side, -50), at + complex(21 * side, SOLES["person"])
        case "person":
            a, b = at + complex(-34 * side, -36), at + complex(52 * side, 44)
        case "crew":
            a, b = at + complex(4 * side, -15), at + complex(38 * side, 72)
        case "litter":
            a, b = at + complex(-46, 22), at + complex(46, 41)
        case "object" | "pack":
            a, b = at + complex(-17, 8), at + complex(17, 37)
        case "ground" | "stand":
            a, b = at + complex(-38, 0), at + complex(38, 8)
        case "anchor":
            a, b = at - axis * 8 - 15 - 8j, at - axis * 8 + 15 + 8j
        case _:
            spots = [
                layout.spots[k] for k in body.lanes if layout.tree.verb[k] in ("through", "grip", "over")
            ]
            r = max([SHEAVE if s.verb == "through" else s.radius for s in spots], default=0.0) + 5
            r = max(r, 11.0)
            xs = [s.at for s in spots] or [at]
            a = complex(min(p.real for p in xs) - r, min(p.imag for p in xs) - r)
            b = complex(max(p.real for p in xs) + r, max(p.imag for p in xs) + r)
    return Box(min(a.real, b.real), min(a.imag, b.imag), max(a.real, b.real), max(a.imag, b.imag))


def letter(ink: Sketch, settled: Settled) -> None:
    """Write a label in its place."""
    if settled.leader is not None:
        a, b = settled.leader
        ink.line(a, b, 0.8, "label", GREY)
        if settled.dot:
            ink.circle(b, 2.1, INK, 0, "label")
    base = settled.box.top + SIZE * 0.86
    for k, (words, weight) in enumerate(settled.label.lines):
        at = complex(settled.box.left, base + k * LINE)
        ink.text(at, words, SIZE, width(words, SIZE, weight), weight)


def extent(ink: Sketch, letters: Sketch, board: Board) -> Box:
    """The room that everything drawn and written takes."""
    boxes = [*ink.boxes, *(s.box for s in board.placed)]
    boxes += [
        Box(min(x, p) - h, min(y, q) - h, max(x, p) + h, max(y, q) + h)
        for x, y, p, q, h in (*ink.lines, *letters.lines)
    ]
    out = boxes[0] if boxes else Box(0, 0, 10, 10)
    for box in boxes[1:]:
        out = out.joined(box)
    return out


def state_line(subject: Subject) -> tuple[str, str]:
    """Which state the figures are for, and the weight of type in which that is said."""
    asked = subject.rig.haul or subject.rig.lower
    name = short(asked.load) if asked else ""
    match subject.state:
        case "hauling":
            words = f"Forces while {name} is hauled, with friction, at the likely figures."
        case "lowering":
            words = f"Forces while {name} is lowered, with friction, at the likely figures."
        case "at rest":
            words = "Forces at rest, at the likely figures."
        case _:
            return f"NOT SOLVED, drawn as written: {plain(subject.reason, 240)}.", "bold"
    if subject.reason:
        return f"NOT SOLVED as asked: {plain(subject.reason, 240)}. {words}", "bold"
    return words, "normal"


def finish(drawing: Drawing, units: Units, framed: bool = True) -> Picture:
    """Add the frame's words and write the SVG."""
    frame, box, subject = Sketch(), drawing.box, drawing.layout.subject
    content = box.right - box.left
    room = max(content, LEAST_WIDTH if framed else 0.0)
    left = box.left - (room - content) / 2
    top, bottom = box.top, box.bottom
    if framed:
        head = _head(subject, room)
        top -= sum(size * 1.32 for _, size, _ in head) + 14
        y = top
        for words, size, weight in head:
            y += size * 1.32
            frame.text(complex(left, y - size * 0.3), words, size, width(words, size, weight), weight)
        bottom = _foot(frame, drawing.layout, units, left, bottom + 20, room)
    page = Box(left - MARGIN, top - MARGIN, left + room + MARGIN, bottom + MARGIN)
    # whole units, so that dots of a picture turned into dots are neither dropped nor doubled
    wide, high = math.ceil(page.right - page.left), math.ceil(page.bottom - page.top)
    page = Box(page.left, page.top, page.left + wide, page.top + high)
    title = plain(subject.rig.rig, 120)
    return Picture(
        write_svg((drawing.sketch, drawing.letters, frame), page, title, drawing.alt),
        page.right - page.left,
        page.bottom - page.top,
        drawing.alt,
    )


def _head(subject: Subject, room: float) -> list[tuple[str, float, str]]:
    title = plain(subject.rig.rig, 120)
    out = [(line, TITLE, "bold") for line in wrapped(title, TITLE, room, "bold")]
    words, weight = state_line(subject)
    return out + [(line, SIZE, weight) for line in wrapped(words, SIZE, room, weight)]


def _foot(ink: Sketch, layout: Layout, units: Units, left: float, top: float, room: float) -> float:
    """The key to the lines, the scale and the caution."""
    y = top
    for rope, stroke in strokes(list(layout.subject.rig.ropes)).items():
        _sample(ink, complex(left, y - 4), stroke)
        for k, line in enumerate(wrapped(rope_words(layout, rope, units), SIZE, room - 52)):
            ink.text(complex(left + 52, y + k * LINE), line, SIZE, width(line, SIZE))
            last = k
        y += LINE * (last + 1)
    y += 4
    for paragraph in (_scale_words(layout), CAUTION):
        for line in wrapped(paragraph, SIZE, room):
            ink.text(complex(left, y), line, SIZE, width(line, SIZE))
            y += LINE
        y += 3
    return y - LINE


def _sample(ink: Sketch, at: complex, stroke: Stroke) -> None:
    ink.line(at, at + 44, stroke.width, "label", stroke.colour, stroke.dash, "butt")


def _scale_words(layout: Layout) -> str:
    words = "Gear is drawn larger than it is, and what is close together is moved apart."
    if any(cut.links for cut in layout.page.breaks):
        words = f"Not to scale where broken. {words}"
    if layout.bare_breaks:
        words = f"{words} Empty gaps are shortened."
    signs = []
    if any(v == "grip" for v in layout.tree.verb.values()):
        signs.append("The wedge in a grab points the way it bites when its gear is pulled.")
    if any(_lets_through(layout, name) for name in layout.subject.rig.gear):
        signs.append("The arrowhead on a rope at a device shows the way the rope runs through it.")
    if layout.view == "plan" and layout.subject.rig.loads:
        signs.append("A circle with a cross is pulled straight down, away from you.")
    return " ".join([words, *signs])


def _lets_through(layout: Layout, name: str) -> bool:
    kind = layout.subject.catalogue[layout.subject.rig.gear[name].type]
    return kind.holding.one_way and any(
        layout.tree.verb[k] == "through" for k in layout.tree.bodies[name].lanes
    )


def _alt(subject: Subject) -> str:
    """A sentence for people who don't see the picture."""
    rig = subject.rig
    loads = [f"{short(x.name)} ({x.kind}, {show_mass(x.mass.likely)})" for x in rig.loads.values()]
    ropes = [short(name) for name in rig.ropes]
    words = f"Drawing of {plain(rig.rig, 120)}: {_listed(loads) or 'no load'} on {_count(len(ropes), 'rope')}"
    words += f" ({_listed(ropes)})"
    used = [short(p.name) for p in rig.points.values() if p.kind == "anchor"]
    if used:
        words += f" from {_listed(used)}"
    if not subject.solved:
        return f"{words}; not solved, drawn as written: {plain(subject.reason, 200)}."
    hand = subject.hand_force
    if hand is not None and hand > 1.0:
        words += f"; {subject.state}, the hand pulls {show_force(hand)}"
    else:
        words += f"; {subject.state}"
    return f"{words}."


def _count(number: int, word: str) -> str:
    return f"one {word}" if number == 1 else f"{number} {word}s"


def _listed(words: Sequence[str]) -> str:
    if len(words) > 6:
        words = [*words[:5], f"{len(words) - 5} more"]
    return ", ".join(words[:-1]) + (" and " if len(words) > 1 else "") + words[-1] if words else ""
