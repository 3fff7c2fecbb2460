"""The gear cache: items, what was done with them, what was found on them, and where they are."""

from ropewright.web.gear.models.inspections import Finding, Inspection
from ropewright.web.gear.models.items import Item, Kit, Place, StateChange
from ropewright.web.gear.models.papers import Document
from ropewright.web.gear.models.use import Event, EventItem, Issue, IssuedItem, Use

__all__ = [
    "Document",
    "Event",
    "EventItem",
    "Finding",
    "Inspection",
    "Issue",
    "IssuedItem",
    "Item",
    "Kit",
    "Place",
    "StateChange",
    "Use",
]
