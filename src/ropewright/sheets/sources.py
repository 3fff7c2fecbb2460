"""What the figures rest on, in short: those of the catalogue by source, and the policy's rules."""

from __future__ import annotations

from ropewright.catalogue import CONFIDENCE, FIGURES
from ropewright.judgement.figures import Used
from ropewright.judgement.report import figures_used
from ropewright.judgement.rules import Context
from ropewright.quantity import show_range

from .model import Line, Section

__all__ = ["assumptions"]

_MINOR = {"mass", "length"}
"""Figures of which a card only says that they are assumed: they move a result by little."""


def assumptions(ctx: Context) -> Section | None:
    """Every figure used that the rig file does not state, grouped by where it comes from."""
    used = [u for u in figures_used(ctx.x) if u.confidence != "N" and u.key in FIGURES]
    groups: dict[str, list[Used]] = {}
    minor = False
    for figure in used:
        if figure.key == "diameter":
            continue  # its type's own name
        if figure.confidence == "A" and figure.key in _MINOR:
            minor = True
            continue
        source = "planning assumption, no source" if figure.confidence == "A" else _first(figure.source)
        groups.setdefault(source or CONFIDENCE[""], []).append(figure)
    said = [f"{_figures(ctx, found)} ({source})" for source, found in groups.items()]
    if minor:
        said.append("mass and room of the gear (planning assumptions)")
    if not said:
        return None
    return Section(
        "assumptions",
        "Figures of the catalogue, and where each comes from",
        (Line(f"{'; '.join(said)}."),),
        spare=3,
    )


def _first(source: str) -> str:
    """The first of several sources, and how many more the catalogue has."""
    first, *more = source.split("; ")
    return f"{first}, and {len(more)} more" if more else first


def _figures(ctx: Context, found: list[Used]) -> str:
    """`strength of cam-grab 11.0 kN (2470 lbf)`, figures of one kind and value told together."""
    alike: dict[tuple[str, str], list[str]] = {}
    for used in found:
        alike.setdefault((used.key, _value(ctx, used)), []).append(used.by)
    return "; ".join(f"{key} of {', '.join(by)} {value}" for (key, value), by in alike.items())


def _value(ctx: Context, used: Used) -> str:
    if used.value is None:
        return "not known"
    catalogue = ctx.catalogue
    known = used.by in catalogue and used.key in catalogue[used.by].figures
    kind = catalogue[used.by].key_kind(used.key).kind if known else FIGURES[used.key].kind
    return show_range(used.value, kind, ctx.units)
