"""The figures that `assume:` may replace: those that the catalogue has for a family, within its bounds."""

from ropewright.catalogue import FAMILIES, FIGURES, Family, FigureKey
from ropewright.quantity import Kind, QuantityError, Range, Sign, System
from ropewright.rig.faults import shown
from ropewright.rig.fields import figure

__all__ = ["EDGE_FIGURES", "figure_key", "figures_of", "read_figure"]

# What may be said about a place by its own name; its strength stands where it is described.
EDGE_FIGURES = ("friction",)
# Where the catalogue sets no upper end, what is more than this is a slip of the pen (SI).
HIGHEST: dict[Kind, float] = {"mass": 5000.0, "mass_per_length": 5.0}


def figures_of(family: Family) -> tuple[str, ...]:
    """Give the figures that a family of gear has or may have."""
    needed, optional = FAMILIES[family]
    return (*needed, *optional)


def figure_key(name: str, *, of_rope: bool) -> FigureKey:
    """Give what a figure measures; a rope's mass is per metre."""
    return FIGURES["mass-per-length" if name == "mass" and of_rope else name]


def read_figure(value: object, name: str, system: System, *, of_rope: bool) -> Range:
    """Read a figure into SI; raise QuantityError with what was found and what can be."""
    key = figure_key(name, of_rope=of_rope)
    sign: Sign = "above-zero" if key.least > 0 else "zero-up"
    found = figure(value, key.kind, system, sign)
    highest = min(key.most, HIGHEST.get(key.kind, key.most))
    if not key.least <= found.low <= found.high <= highest:
        most = f" to {highest:g} {key.unit}".rstrip() if highest < float("inf") else f" {key.unit} up"
        raise QuantityError(f"found {shown(value)}; {name} ({key.meaning}) goes from {key.least:g}{most}")
    return found
