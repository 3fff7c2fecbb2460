"""The cache as a table: its columns, and the rows of a list of items as they are written into files."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from ropewright.quantity import System
from ropewright.web.gear.kinds import kinds
from ropewright.web.gear.models import Item, Kit, Place
from ropewright.web.tables.cells import Cell
from ropewright.web.tables.columns import Column
from ropewright.web.tables.writing import row_of

__all__ = ["STATES", "columns", "rows_of", "values_of"]

STATES: Mapping[str, str] = {
    "in service": Item.State.IN_SERVICE,
    "due": Item.State.IN_SERVICE,
    "issued": Item.State.ISSUED,
    "quarantined": Item.State.QUARANTINED,
    "retired": Item.State.RETIRED,
}
_BY_INSPECTION = "it follows from inspections"


def columns() -> tuple[Column, ...]:
    """Every column, with the places and kits that there are."""
    return (*_of_the_item(), *_of_the_record(), *_of_the_state())


def _of_the_item() -> tuple[Column, ...]:
    """What stands on an item or its nameplate."""
    held = Item.objects.order_by().values_list("type", flat=True).distinct()  # also such as are gone since
    types = {name: name for name in (*kinds(), *held)}
    summaries = {f"{kind.name} – {kind.summary}": kind.name for kind in kinds().values()}
    marks, strengths = ("mark", "id", "tag", "label", "item", "asset tag"), ("strength", "mbs", "mbl")
    return (
        Column("mark", "own mark", others=marks, needed=True),
        Column("type", "catalogue type", "choice", ("type", "kind", "gear type"), True, types | summaries),
        Column("name", "name", others=("called", "description", "what")),
        Column("colour", "colour", others=("color",)),
        Column("size", "size"),
        Column("length", "length", "length", ("rope length",)),
        Column("diameter", "diameter", "length", ("dia", "thickness"), units=("mm", "in")),
        Column("material", "material"),
        Column("textile", "textile or plastic", "yes-no", ("textile", "soft gear")),
        Column("standard", "standard", others=("norm",)),
        Column("grade", "class of the standard", others=("class", "grade")),
        Column("strength", "breaking strength", "force", (*strengths, "minimum breaking strength")),
        Column("working_load", "working load", "force", ("wll", "swl", "working load limit")),
        Column("user_mass", "user limit", "mass", ("user mass", "rated user", "greatest user mass")),
        Column("serial", "lot or serial", others=("serial", "lot", "serial number", "serial no", "batch")),
    )


def _of_the_record() -> tuple[Column, ...]:
    """What the team knows of it."""
    places, kits = _names(Place.objects.all()), _names(Kit.objects.all())
    instructions = "maker's instructions on file"
    return (
        Column("supplier", "supplier", others=("bought from", "vendor")),
        Column("made", "made", "date", ("date made", "manufactured", "date of manufacture", "dom")),
        Column("bought", "bought", "date", ("purchased", "date of purchase", "purchase date")),
        Column("first_used", "first used", "date", ("first use", "date of first use", "in use since")),
        Column("instructions", instructions, "yes-no", ("instructions", "makers instructions")),
        Column("place", "place", "choice", ("location", "kept at", "store"), choices=places),
        Column("kit", "kit", "choice", ("bag", "set"), choices=kits),
        Column("front_line", "front line", "yes-no", ("counts to the front line reserve", "on the rig")),
        Column("note", "note", others=("notes", "remarks", "comment", "comments")),
    )


def _of_the_state() -> tuple[Column, ...]:
    """What follows from what was done with it."""
    cut = "a cut is entered on the rope's own page"
    return (
        Column("state", "state", "choice", ("status",), choices=STATES),
        Column("reason", "why it is so", others=("reason",)),
        Column("cut_from", "cut from", shown_only=cut),
        Column("inspected", "last inspected", "date", ("inspected",), shown_only=_BY_INSPECTION),
        Column("next_due", "next due", "date", ("due", "next inspection"), shown_only=_BY_INSPECTION),
    )


def _names(things: Iterable[Place | Kit]) -> dict[str, str]:
    return {thing.name: str(thing.pk) for thing in things}


def values_of(item: Item) -> dict[str, Cell]:
    """An item's values by column."""
    plain = {
        key: getattr(item, key)
        for key in (
            "mark", "type", "name", "colour", "size", "length", "diameter", "material", "textile", "standard",
            "grade", "strength", "working_load", "user_mass", "serial", "supplier", "made", "bought",
            "first_used", "instructions", "front_line", "note", "state", "reason", "inspected", "next_due",
        )
    }  # fmt: skip
    return plain | {
        "place": str(item.place_id) if item.place_id else None,
        "kit": str(item.kit_id) if item.kit_id else None,
        "cut_from": item.cut_from.mark if item.cut_from else None,
    }


def rows_of(
    items: Iterable[Item], written: Sequence[Column], system: System
) -> Iterator[list[str | float | None]]:
    """Items as they are written into a file; they come with what they were cut from."""
    for item in items:
        values = values_of(item)
        yield row_of([values[column.key] for column in written], written, system)
