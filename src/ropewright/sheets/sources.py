"""What the figures rest on, in short: those of the catalogue, each with its source."""

from __future__ import annotations

import math

from ropewright.catalogue import CONFIDENCE, FIGURES
from ropewright.judgement.figures import Used
from ropewright.judgement.report import figures_used
from ropewright.judgement.rules import LOADED, Context
from ropewright.quantity import show_range

from .model import Line, Section

__all__ = ["assumptions"]

_MINOR = {"mass", "length"}
"""Figures of which a card only says that they are assumed: they move a result by little."""


ASSUMED = "*"
"""Stands behind a planning assumption that has no source."""


def assumptions(ctx: Context) -> Section | None:
    """Every figure used that the rig file does not state, by what it is a figure of, each with its source."""
    used = [
        u for u in figures_used(ctx.x) if u.confidence != "N" and u.key in FIGURES and u.key != "diameter"
    ]  # a diameter is its type's own name
    minor = [u for u in used if u.confidence == "A" and u.key in _MINOR]
    kinds: dict[str, dict[str, list[Used]]] = {}
    for figure in used:
        if figure not in minor:
            source = ASSUMED if figure.confidence == "A" else f" ({_first(figure.source) or CONFIDENCE['']})"
            kinds.setdefault(figure.key, {}).setdefault(source, []).append(figure)
    said = []
    for key, sources in kinds.items():
        told = [f"{_figures(ctx, found, source)}" for source, found in sources.items()]
        where = " (see margins)" if key == "strength" else ""
        said.append(f"{key}{where} of {', '.join(told)}")
    if not said and not minor:
        return None
    text = f"{'; '.join(said)}." if said else ""
    if any(ASSUMED in kind for kind in kinds.values()):
        text += (
            f" {ASSUMED} planning assumption, no source{'; so mass and room of the gear' if minor else ''}."
        )
    elif minor:
        text += " Mass and room of the gear are planning assumptions."
    return Section("assumptions", "Catalogue figures and their sources", (Line(text.strip()),), spare=3)


def _first(source: str) -> str:
    """The first of several sources, and how many more the catalogue has."""
    first, *more = source.split("; ")
    return f"{first}, and {len(more)} more" if more else first


def _figures(ctx: Context, found: list[Used], source: str) -> str:
    """`cam-grab 5.0–11.0 kN*`: figures of one kind and source; strengths without their values where these
    stand in the table of margins.
    """
    borne = [p.strength for p in ctx.x.parts if p.strength is not None and ctx.carried(p)[0] >= LOADED]
    alike: dict[str, list[str]] = {}
    for used in found:
        known = used.value if used.key == "strength" else None
        in_table = known is not None and any(math.isclose(known.low, bears) for bears in borne)
        alike.setdefault("" if in_table else f" {_value(ctx, used)}", []).append(used.by)
    if source == ASSUMED:
        return ", ".join(f"{', '.join(by)}{value}{source}" for value, by in alike.items())
    return ", ".join(f"{', '.join(by)}{value}" for value, by in alike.items()) + source


def _value(ctx: Context, used: Used) -> str:
    if used.value is None:
        return "not known"
    catalogue = ctx.catalogue
    known = used.by in catalogue and used.key in catalogue[used.by].figures
    kind = catalogue[used.by].key_kind(used.key).kind if known else FIGURES[used.key].kind
    return show_range(used.value, kind, ctx.units)
