"""The catalogue: generic gear types, how each holds a rope, and figures that name their source."""

from ropewright.catalogue.model import (
    CONFIDENCE,
    FAMILIES,
    FIGURES,
    Catalogue,
    CatalogueError,
    Family,
    Figure,
    FigureKey,
    GearType,
    Holding,
)
from ropewright.catalogue.reader import load_catalogue

__all__ = [
    "CONFIDENCE",
    "FAMILIES",
    "FIGURES",
    "Catalogue",
    "CatalogueError",
    "Family",
    "Figure",
    "FigureKey",
    "GearType",
    "Holding",
    "load_catalogue",
]
