"""An item's figures: its own nameplate beside the catalogue's figures of its type, and which is used."""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.catalogue import CONFIDENCE, Figure
from ropewright.quantity import Kind, show_range
from ropewright.web.gear.models import Item
from ropewright.web.policy.now import rules_now
from ropewright.web.shown import shown
from ropewright.web.workings.engine import catalogue

__all__ = ["Row", "figures_of"]


@dataclass(frozen=True, slots=True)
class Row:
    """A figure. ``used``: 'nameplate', 'type' or '' where neither is known."""

    name: str
    nameplate: str
    generic: str
    source: str
    used: str


# The figure, the field of the item's nameplate, the catalogue's key, the kind.
_ROWS: tuple[tuple[str, str, str, Kind], ...] = (
    ("Breaking strength", "strength", "strength", "force"),
    ("Working load", "working_load", "", "force"),
    ("User limit", "user_mass", "user-mass", "mass"),
    ("Length", "length", "", "length"),
    ("Diameter", "diameter", "diameter", "length"),
)


def figures_of(item: Item) -> list[Row]:
    """The figures, each with both sides; the catalogue's others after those that a nameplate may have."""
    kind = catalogue().get(item.type)
    generic = dict(kind.figures) if kind else {}
    rows = []
    for name, field, key, quantity in _ROWS:
        own, figure = getattr(item, field), generic.pop(key, None)
        if own is None and figure is None and not (field == "length" and kind and kind.family == "rope"):
            continue
        rows.append(_row(name, None if own is None else shown(own, quantity), figure, quantity))
    for key, figure in generic.items():
        if kind is not None and figure.is_known and key != "length":
            meaning = kind.key_kind(key)
            words = f"{meaning.meaning[0].upper()}{meaning.meaning[1:]}"
            rows.append(_row(words, None, figure, meaning.kind))
    return rows


def _row(name: str, own: str | None, figure: Figure | None, quantity: Kind) -> Row:
    known = figure.value if figure else None
    used = "nameplate" if own is not None else "type" if known is not None else ""
    return Row(
        name,
        "not stated" if own is None else own,
        show_range(known, quantity, rules_now().units) if known is not None else "not known",
        _source(figure),
        used,
    )


def _source(figure: Figure | None) -> str:
    if figure is None:
        return ""
    parts = [CONFIDENCE.get(figure.confidence, ""), figure.source, figure.note]
    return "; ".join(dict.fromkeys(part for part in parts if part))
