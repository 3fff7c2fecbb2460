"""Every part of a layout drawn with its sign."""

from __future__ import annotations

from collections.abc import Mapping

from . import symbols
from .cluster import SHEAVE, Key
from .geometry import unit
from .ink import PAPER, TINT, Sketch
from .layout import Layout
from .palette import Stroke

__all__ = ["draw_bodies"]

# the form in which a type is drawn where its family alone does not say it
FORMS: Mapping[str, str] = {
    "bar-rack": "bars",
    "figure-eight": "eight",
    "handled-clamp": "handled",
    "running-back-up": "wheel",
    "hitch-3-wrap": "coils 4",
    "hitch-tandem": "coils 7",
    "carabiner-locking": "bend",
    "carabiner-light": "bend",
    "plate": "plate",
}


def draw_bodies(ink: Sketch, layout: Layout, strokes: Mapping[str, Stroke]) -> None:
    """Draw places, loads, crews and gear, what joins them, and the knots."""
    for name in layout.tree.bodies:
        _body(ink, layout, name)
    for name, body in layout.tree.bodies.items():
        if body.parent:
            _link(ink, layout, name)
    for key, verb in layout.tree.verb.items():
        if verb == "tie":
            _tie(ink, layout, key, strokes[key[0]])


def _body(ink: Sketch, layout: Layout, name: str) -> None:
    body, at, axis = layout.tree.bodies[name], layout.at[name], layout.axis[name]
    spots = layout.spots
    hands = [spots[k].at for k in body.lanes if layout.tree.verb[k] == "hand"]
    side = layout.side.get(name, 1)
    if body.stands and not _drawn_under(layout, name):
        symbols.ground(ink, at + 1j * symbols.SOLES[body.kind])
    match body.kind:
        case "anchor":
            symbols.anchor(ink, at, axis)
        case "ground" | "stand":
            if layout.view == "side":
                symbols.ground(ink, at)
        case "edge":
            _edge(ink, layout, name)
        case "object" | "pack" if layout.view == "plan":
            symbols.downward(ink, at, symbols.HANGS)
        case "person" if body.stands:
            symbols.stander(ink, at, side, hands)
        case "person":
            symbols.person(ink, at, side, hands)
        case "crew":
            symbols.crew(ink, at, side, hands)
        case "litter":
            symbols.litter(ink, at)
        case "pack":
            symbols.bundle(ink, at)
        case "object":
            symbols.test_weight(ink, at)
        case _:
            _gear(ink, layout, name)


def _drawn_under(layout: Layout, name: str) -> bool:
    """Whether the place that a load stands on is itself drawn under it."""
    foot = layout.at[name] + 1j * symbols.SOLES[layout.tree.bodies[name].kind]
    places = [n for n, b in layout.tree.bodies.items() if b.kind in ("ground", "stand")]
    return any(abs(layout.at[n] - foot) < 1.0 for n in places)


def _gear(ink: Sketch, layout: Layout, name: str) -> None:
    tree, body, at, axis = layout.tree, layout.tree.bodies[name], layout.at[name], layout.axis[name]
    item = layout.subject.rig.gear[name]
    form = FORMS.get(item.type, "")
    drums = [layout.spots[k] for k in body.lanes if tree.verb[k] == "through"]
    if drums:
        radius = SHEAVE
        hung = at - axis * (radius + 5)
        centres = [s.at for s in drums]
        if body.kind in ("pulley", "join"):
            symbols.pulley(ink, centres, hung, radius, axis)
        else:
            symbols.device(ink, centres, hung, radius, axis, form or "jaw", [not s.radius for s in drums])
    for key in body.lanes:
        if tree.verb[key] == "grip":
            _grab(ink, layout, key, form)
    if not drums and not any(tree.verb[k] == "grip" for k in body.lanes):
        if body.kind == "join" or form == "plate":
            symbols.plate(ink, at, axis if body.parent else -axis)
        else:
            ink.circle(at, 6, TINT, 1.5, "gear")


def along(layout: Layout, key: Key) -> complex:
    """The way a rope runs at a contact, from the start of its run towards the end."""
    rope, k = key
    before, after = layout.spots.get((rope, k - 1)), layout.spots.get((rope, k + 1))
    here = layout.spots[key].at
    ways = [unit(here - before.at)] if before else []
    ways += [unit(after.at - here)] if after else []
    return unit(sum(ways, 0j), ways[0] if ways else 1j)


def _grab(ink: Sketch, layout: Layout, key: Key, form: str) -> None:
    at, way = layout.spots[key].at, along(layout, key)
    body = layout.tree.bodies[layout.tree.part[key]]
    anchor = [layout.at[c] for c in body.children] or [layout.at[body.parent]] if body.parent else [at + 1]
    beside = way * 1j
    if sum((a - at).real * beside.real + (a - at).imag * beside.imag for a in anchor) > 0:
        beside = -beside
    contact = layout.subject.contact(*key)
    if form.startswith("coils"):
        symbols.hitch(ink, at, way, int(form.split()[1]))
    else:
        symbols.clamp(ink, at, way if beside == way * -1j else -way, form == "handled", form == "wheel")
    if layout.subject.catalogue[layout.subject.rig.gear[body.name].type].holding.bites:
        symbols.bite(
            ink,
            at + (beside * 4 if form.startswith("coils") else 0),
            -way if contact.reversed else way,
            beside,
        )


def _edge(ink: Sketch, layout: Layout, name: str) -> None:
    place = layout.subject.rig.points[name]
    wraps = {w.key: w for w in layout.wraps}
    for key in layout.tree.bodies[name].lanes:
        wrap = wraps.get(key)
        if wrap is None:
            continue
        strands = {s.second: s for s in layout.strands}, {s.first: s for s in layout.strands}
        before, after = strands[0][key], strands[1][key]
        coming, going = unit(before.end - before.start), unit(after.end - after.start)
        symbols.edge(ink, wrap.centre, coming, going, wrap.sense, wrap.radius, place.protection or "")
        return
    ink.shape(
        [layout.at[name] - 20, layout.at[name], layout.at[name] + 20j], PAPER, 1.6, "ground", closed=False
    )


def _link(ink: Sketch, layout: Layout, name: str) -> None:
    body = layout.tree.bodies[name]
    parent = layout.tree.bodies[body.parent]
    a, b = layout.at[body.parent], layout.at[name]
    way = unit(b - a)
    drums = [layout.spots[k] for k in body.lanes if layout.tree.verb[k] == "through"]
    if drums:
        b = layout.at[name] - layout.axis[name] * (SHEAVE + 5)
    start = {"anchor": 3.5, "person": 3.0, "pulley": 12.0, "device": 14.0, "grab": 6.0}.get(parent.kind, 4.0)
    symbols.joins(ink, a + way * start, b, body.joins)


def _tie(ink: Sketch, layout: Layout, key: Key, stroke: Stroke) -> None:
    part = layout.tree.part[key]
    spot, home = layout.spots[key], layout.at[part]
    style = layout.subject.contact(*key).knot or ""
    if key in layout.tree.wound:
        symbols.loop_round(ink, home, stroke.colour)
        return
    symbols.knot(ink, spot.at, home, stroke.colour, style)
