"""What has to be brought: gear by type, rope with its lengths; and every edge that something lies on."""

from __future__ import annotations

from collections import Counter

from ropewright.catalogue import Family
from ropewright.judgement.components import joins_of
from ropewright.judgement.lengths import rope_needs
from ropewright.judgement.rules import Context, touches

from .model import Line, Section, Table

__all__ = ["edges", "gear_list"]

_ORDER: tuple[Family, ...] = ("rope", "device", "pulley", "grab", "join", "body", "protection")


def gear_list(ctx: Context) -> Section | None:
    """Ropes with what they have to be long, then everything else counted by type."""
    table, lines = _ropes(ctx), list[Line]()
    pieces = _pieces(ctx)
    if pieces:
        lines.append(Line("; ".join(pieces)))
    if not touches(ctx):
        lines.append(Line("no rope and no sling lies on one, as the file has it", "edges:"))
    if not lines:
        return None
    return Section("gear", "Rope and gear", table=table, after=tuple(lines))


def _ropes(ctx: Context) -> Table | None:
    rows, strong = list[tuple[str, ...]](), list[int]()
    for k, need in enumerate(rope_needs(ctx.x)):
        has = "NOT KNOWN" if need.has is None else ctx.length(need.has)
        if need.has is None or not need.is_enough(need.has):
            strong.append(k)
        reserve = ctx.length(need.reserve) if need.reserve > 0 else "–"
        rows.append((need.rope, has, ctx.length(need.needed), reserve))
    head = ("rope", "is long", "needs", "of it reserve")
    return Table(head, tuple(rows), tuple(strong)) if rows else None


def _pieces(ctx: Context) -> list[str]:
    """`2 × pulley-single (first, second)`: gear, what joins it, what people wear, what protects edges."""
    count = Counter(rope.type for rope in ctx.rig.ropes.values())
    called: dict[str, list[str]] = {}
    for rope in ctx.rig.ropes.values():
        called.setdefault(rope.type, []).append(rope.name)
    for item in ctx.rig.gear.values():
        count[item.type] += 1
        called.setdefault(item.type, []).append(item.name)
        count.update(joins_of(ctx.rig, item.name))
    for load in ctx.rig.loads.values():
        if load.wears:
            count[load.wears] += 1
            called.setdefault(load.wears, []).append(load.name)
    for place, guard in {p.name: p.protection for _, p, _ in touches(ctx) if p.protection}.items():
        count[guard] += 1
        called.setdefault(guard, []).append(place)
    order = sorted(count, key=lambda name: (_rank(ctx, name), name))
    return [
        f"{count[name]} × {name}" + (f" ({', '.join(called[name])})" if name in called else "")
        for name in order
    ]


def _rank(ctx: Context, name: str) -> int:
    family = ctx.catalogue[name].family if name in ctx.catalogue else "join"
    return _ORDER.index(family) if family in _ORDER else len(_ORDER)


def edges(ctx: Context) -> Section | None:
    """Every rope and sling that lies on an edge."""
    found = touches(ctx)
    if not found:
        return None  # said under the gear: a heading for nothing would take room
    rows = tuple((what, p.name, p.surface or "NOT KNOWN", p.protection or "NONE") for what, p, _ in found)
    strong = tuple(k for k, (_, p, _) in enumerate(found) if not (p.surface and p.protection))
    return Section(
        "edges", "Edges", table=Table(("what lies on it", "edge", "of", "protection"), rows, strong)
    )
