"""The layout of a picture: everything in page units, decided before any SVG is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from .angles import Named, named_angles
from .arrange import Rows, arrange, arrange_crews
from .cluster import Key, Placed, Spot, Tree, tree_of
from .page import FULL, Break, Link, Page, Reach, Room, paged
from .ropes import Strand, Wrap
from .subject import Stretch, Subject
from .symbols import SOLES

__all__ = ["Layout", "View", "lay_out"]

View = Literal["side", "plan"]
MOST_TRIES = 48
"""Orders that are tried to keep ropes from crossing."""


@dataclass(frozen=True)
class Layout:
    """Where everything is on the page, before it is written.

    ``spots`` are the contacts, ``at`` and ``axis`` each part's place and the way it is pulled, ``side`` (±1)
    on which side of its ropes a person sits. ``stretch`` gives each strand's forces. ``marks`` are the places
    on strands where a piece is left out.
    """

    subject: Subject
    view: View
    tree: Tree
    page: Page
    spots: Mapping[Key, Spot]
    at: Mapping[str, complex]
    axis: Mapping[str, complex]
    side: Mapping[str, int]
    strands: tuple[Strand, ...]
    wraps: tuple[Wrap, ...]
    stretch: Mapping[tuple[Key, Key], Stretch]
    marks: Mapping[tuple[Key, Key], tuple[complex, ...]]
    angles: tuple[Named, ...]
    bare_breaks: tuple[Break, ...]


def lay_out(subject: Subject, view: View = "side", air: float = 0.0, room: Room = FULL) -> Layout:
    """Lay a rig out for one view; ``air`` is room between columns on top of the usual."""
    row = 2 if view == "side" else 1
    points = [complex(float(p[0]), -float(p[row])) for p in subject.position]
    tree = tree_of(subject, points)
    angles = named_angles(subject)
    turned = {key for named in angles for key in named.keys}
    links, keys = _links(subject, turned)
    plan = view == "plan"
    under = _stood_on(subject, view)
    flat = {name for name, p in subject.rig.points.items() if plan and p.kind in ("ground", "stand")}
    used = {n for link in links for n in (link.start, link.end)}
    shown = [
        n for n, name in enumerate(subject.names) if name not in under and (name not in flat or n in used)
    ]

    def turn_page(reach: Sequence[Reach]) -> Page:
        return _paged(points, links, reach, shown, subject, air, room)

    page = turn_page([Reach(30, 30, 30, 30)] * len(points))
    found, _ = arrange(Rows(tree, page.centres, points, plan), 0)
    page = turn_page(_reaches(tree, found.placed, found.side, page.centres))
    found, flips = arrange(Rows(tree, page.centres, points, plan), MOST_TRIES)
    page = turn_page(_reaches(tree, found.placed, found.side, page.centres))
    found = Rows(tree, page.centres, points, plan).settle(flips)
    found = arrange_crews(tree, page.centres, points, flips, plan, found)
    placed = found.placed
    at = {**placed.at}
    for stand, who in under.items():
        kind = tree.bodies[who].kind
        at[stand] = placed.at[who] + (
            complex(26 * found.side[who], 70) if kind == "crew" else 1j * SOLES[kind]
        )
    stretch = {((s.rope, s.first), (s.rope, s.second)): s for s in subject.stretches}
    return Layout(
        subject,
        view,
        tree,
        page,
        placed.spots,
        at,
        placed.axis,
        found.side,
        found.strands,
        found.wraps,
        stretch,
        _marks(page, keys, found.strands),
        angles,
        tuple(b for b in page.breaks if not b.links),
    )


def _stood_on(subject: Subject, view: View) -> dict[str, str]:
    """Places to stand that lie under somebody's feet are drawn there: place to crew or to load."""
    out: dict[str, str] = {}
    if view == "plan":
        return out
    rig = subject.rig
    for load, stand in subject.stands.items():
        if stand in rig.points and rig.points[stand].kind in ("stand", "ground"):
            out.setdefault(stand, load)
    for place in rig.points.values():
        if place.kind not in ("stand", "ground") or place.name in out:
            continue
        for crew in rig.crews.values():
            apart = [c - p for c, p in zip(crew.at, place.at, strict=True)]
            if (
                abs(apart[0]) < 3
                and abs(apart[1]) < 3
                and -0.3 < apart[2] < 2.2
                and crew.name not in out.values()
            ):
                out[place.name] = crew.name
                break
    used = {c.target for rope in rig.ropes.values() for c in rope.run} | {
        g.at for g in rig.gear.values() if isinstance(g.at, str)
    }
    return {place: who for place, who in out.items() if place in rig.points and place not in used}


def _paged(
    points: Sequence[complex],
    links: Sequence[Link],
    reach: Sequence[Reach],
    shown: Sequence[int],
    subject: Subject,
    air: float,
    room: Room,
) -> Page:
    """The page of the points that are shown; the others lie anywhere."""
    index = {n: k for k, n in enumerate(shown)}
    hints = _hints(points, links, subject)
    page = paged(
        [points[n] for n in shown],
        [replace(k, start=index[k.start], end=index[k.end]) for k in links],
        [reach[n] for n in shown],
        [hints[n] for n in shown],
        air,
        room,
    )
    centres = [0j] * len(points)
    for k, n in enumerate(shown):
        centres[n] = page.centres[k]
    return replace(page, centres=tuple(centres))


def _links(subject: Subject, turned: set[Key]) -> tuple[list[Link], list[tuple[Key, Key]]]:
    links, keys = [], []
    for s in subject.stretches:
        a, b = subject.contact(s.rope, s.first), subject.contact(s.rope, s.second)
        if a.target is None or b.target is None:
            continue
        start, end = subject.node[a.target], subject.node[b.target]
        if start != end:
            pair = ((s.rope, s.first), (s.rope, s.second))
            fast = bool({a.verb, b.verb} & {"tie", "grip"})
            links.append(Link(start, end, bool(turned & set(pair)), fast))
            keys.append(pair)
    return links, keys


def _hints(points: Sequence[complex], links: Sequence[Link], subject: Subject) -> list[float | None]:
    """For each point how far right its own ropes lead, for those that hang before each other."""
    hints: list[float | None] = [None] * len(points)
    for load in subject.rig.loads.values():
        here = subject.node[load.name]
        ends = [k.end if k.start == here else k.start for k in links if here in (k.start, k.end)]
        above = [points[n].real for n in ends if points[n].imag < points[here].imag - 0.5]
        lean = sum(above) / len(above) - points[here].real if above else 0.0
        hints[here] = round(lean, 3) + 1e-3 * load.at[0]
    return hints


def _reaches(tree: Tree, placed: Placed, side: Mapping[str, int], centres: Sequence[complex]) -> list[Reach]:
    """How far the things at each point reach from it."""
    out = [[12.0, 12.0, 12.0, 12.0] for _ in centres]
    for name, body in tree.bodies.items():
        home = centres[tree.node[name]]
        off = placed.at[name] - home
        _widen(
            out[tree.node[name]],
            off,
            _size("stander" if body.stands and body.kind == "person" else body.kind, side.get(name, 1)),
        )
        for key in body.lanes:
            spot = placed.spots[key]
            r = spot.radius + 7
            _widen(out[tree.node[name]], spot.at - home, (r, r, r, r))
    return [Reach(*r) for r in out]


def _size(kind: str, side: int) -> tuple[float, float, float, float]:
    if kind == "person":
        return (58.0, 40.0, 32.0, 88.0) if side < 0 else (32.0, 40.0, 58.0, 88.0)
    if kind == "stander":
        return (38.0, 54.0, 38.0, 88.0)
    if kind == "crew":
        return (46.0, 18.0, 12.0, 74.0) if side < 0 else (12.0, 18.0, 46.0, 74.0)
    return {
        "litter": (50.0, 8.0, 50.0, 92.0),
        "object": (20.0, 8.0, 20.0, 82.0),
        "pack": (16.0, 8.0, 16.0, 82.0),
        "anchor": (15.0, 16.0, 15.0, 16.0),
        "edge": (22.0, 22.0, 22.0, 22.0),
        "ground": (40.0, 4.0, 40.0, 12.0),
        "stand": (40.0, 4.0, 40.0, 12.0),
        "device": (16.0, 18.0, 16.0, 18.0),
        "pulley": (14.0, 16.0, 14.0, 16.0),
    }.get(kind, (14.0, 14.0, 14.0, 14.0))


def _widen(reach: list[float], off: complex, size: tuple[float, float, float, float]) -> None:
    reach[0] = max(reach[0], size[0] - off.real)
    reach[1] = max(reach[1], size[1] - off.imag)
    reach[2] = max(reach[2], size[2] + off.real)
    reach[3] = max(reach[3], size[3] + off.imag)


def _marks(
    page: Page, keys: Sequence[tuple[Key, Key]], strands: Sequence[Strand]
) -> dict[tuple[Key, Key], tuple[complex, ...]]:
    drawn = {(s.first, s.second): s for s in strands}
    out: dict[tuple[Key, Key], tuple[complex, ...]] = {}
    for cut in page.breaks:
        for k in cut.links:
            pair = keys[k]
            strand = drawn.get(pair)
            if strand is None:
                continue
            run = strand.end - strand.start
            along = run.imag if cut.axis else run.real
            start = strand.start.imag if cut.axis else strand.start.real
            share = (cut.at - start) / along if abs(along) > 1e-6 else 0.5
            out[pair] = (*out.get(pair, ()), strand.start + run * min(max(share, 0.12), 0.88))
    return out
