"""Every rope and sling that lies on an edge, and those that pass close to one."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.components import joins_of
from ropewright.judgement.geometry import distance_to_strand
from ropewright.judgement.rules.base import Case, Context, Finding, Level
from ropewright.rig import Place

__all__ = ["Touch", "find", "touches"]

NEAR = 0.1
"""Distance [m] within which a rope is taken to lie on an edge sooner or later: this project's own figure."""

TEXTILE = ("sling", "lanyard", "webbing", "tape", "strap", "cord", "daisy", "loop")
"""Words that name a textile join."""

Touch = tuple[str, Place, int]
"""What lies on an edge, the edge, and the line that says so."""


def touches(ctx: Context) -> list[Touch]:
    """Every rope and every sling or other textile join that touches an edge."""
    points, out = ctx.rig.points, list[Touch]()
    for rope in ctx.rig.ropes.values():
        for contact in rope.run:
            place = points.get(contact.target or "")
            if place is not None and (contact.verb == "over" or place.kind == "edge"):
                out.append((f"rope {rope.name}", place, contact.line))
    for item in ctx.rig.gear.values():
        names = [*item.over, *([item.at] if isinstance(item.at, str) else [])]
        edges = [points[name] for name in dict.fromkeys(names) if name in points]
        for place in (p for p in edges if p.kind == "edge" or p.name in item.over):
            joins = [join for join in joins_of(ctx.rig, item.name) if _textile(ctx, join)]
            out += [(f"{join} of {item.name}", place, item.line) for join in joins]
    return out


def _metal(ctx: Context) -> Iterator[Finding]:
    """Joins of metal that lie on an edge: it bends or opens them, whatever protects the edge."""
    points = ctx.rig.points
    for item in ctx.rig.gear.values():
        for place in (points[name] for name in item.over if name in points):
            for join in (j for j in joins_of(ctx.rig, item.name) if not _textile(ctx, j)):
                text = f"{join} of {item.name} lies on {place.name}: an edge loads it across or opens it"
                repair = f"use a sling that carries {join} clear of {place.name}"
                what = f"{join} of {item.name}"
                yield Finding("caution", "metal-on-edge", text, item.line, repair, what)


def _textile(ctx: Context, join: str) -> bool:
    """Whether a join is a sling, a lanyard or a team's own like one: what an edge cuts."""
    kind = ctx.catalogue.get(join)
    return kind is None or any(word in f"{kind.name} {kind.summary}" for word in TEXTILE)


def find(ctx: Context) -> Iterator[Finding]:
    """Edges without protection, edges of nobody knows what, and ropes close to an edge."""
    yield from _metal(ctx)
    unknown: set[str] = set()
    for what, place, line in touches(ctx):
        surface = place.surface or "an edge of unknown surface"
        if place.protection:
            text = f"{what} lies on {place.name} ({surface}), protected by: {place.protection}"
            yield Finding("note", "edge-protected", text, line, "", what)
        else:
            text = (
                f"{what} lies on {place.name} ({surface}) without protection; an edge cuts what is under load"
            )
            repair = (
                f"protect {place.name}, for instance with `protection: roller`, or lead the rope clear of it"
            )
            level: Level = "stop" if ctx.policy.asks("protect-edges") else "caution"
            yield Finding(level, "edge-unprotected", text, line, repair, what)
        if not (place.surface or place.protection) and place.name not in unknown:
            unknown.add(place.name)
            text = f"nobody has said what {place.name} is made of, so friction over it is a guess"
            repair = "name its `surface:`, as in concrete, steel, steel-edge, wood, rock or grass"
            yield Finding("question", "edge-surface-unknown", text, place.line, repair, place.name, True)
    yield from _near(ctx)


def _near(ctx: Context) -> Iterator[Finding]:
    edges = [p for p in ctx.rig.points.values() if p.kind == "edge"]
    seen: set[tuple[str, str]] = set()
    for case in (*ctx.moving, *ctx.still) if edges else ():
        for place in edges:
            for rope, gap in _passing(case, place):
                if (rope, place.name) in seen:
                    continue
                seen.add((rope, place.name))
                text = (
                    f"rope {rope} passes {ctx.length(gap)} from {place.name}; the file does not say that "
                    f"it runs over it"
                )
                repair = f"say `over {place.name}` in the run of {rope} if it lies on it, or lead it clear"
                yield Finding("caution", "edge-near", text, ctx.rig.ropes[rope].line, repair, f"rope {rope}")


def _passing(case: Case, place: Place) -> Iterator[tuple[str, float]]:
    """Ropes with a strand close to an edge that neither begins nor ends there, and how close [m]."""
    system = case.assembly.system
    node = case.assembly.node[place.name]
    for k in range(len(system.strands)):
        a, b = int(system.strands.start[k]), int(system.strands.end[k])
        if node in (a, b) or a == b:
            continue
        gap = distance_to_strand(place.at, case.position[a], case.position[b])
        if gap <= NEAR:
            yield case.assembly.strand_ends(k)[0].rope, gap
