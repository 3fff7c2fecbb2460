"""What is moved, laid out as a table: `haul` and `lower`."""

from __future__ import annotations

from typing import Any

from ropewright.quantity import QuantityError, System, read_quantity, show_range
from ropewright.rig.editing.motions import LOAD, MOTIONS
from ropewright.rig.editing.rows import Tables
from ropewright.rig.editing.stated import StatedRow
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.table_cells import Cell, Choice, Group, Statement, Statements, cells_of

__all__ = ["motions"]


def motions(tables: Tables) -> Statements:
    """What is hauled and lowered."""
    return Statements(
        "motion",
        "What is moved",
        "Who pulls or holds it is the hand at the end of a rope's run.",
        "Nothing: the rig is checked at rest.",
        "State a haul or a lowering",
        tuple(_motion(tables, row) for row in tables.motions),
        _new_motion(tables),
    )


def _motion(tables: Tables, row: StatedRow) -> Statement:
    key = f"motion-{row.key}"
    if not row.readable:
        return Statement(key, row.key, "", row.line, "motion")
    fields = MOTIONS[row.key]
    far = fields[1].key
    words = f"{row.typed['load']}, {far} {_way(row.value.get(far), row.typed[far], tables.system)}"
    cells = tuple(cells_of(tables, fields, row.typed))
    return Statement(key, row.key, words, row.line, "motion", {"motion": row.key}, cells)


def _way(value: Any, written: str, system: System) -> str:
    """A way in both systems; as it is written where it can't be read."""
    try:
        return show_range(read_quantity(value, "length", system), "length", rules_now().units)
    except QuantityError:
        return written or "not stated"


def _new_motion(tables: Tables) -> tuple[Cell, ...]:
    shown = {"haul": "haul: raised", "lower": "lower: let down"}
    stated = {row.key for row in tables.motions}
    ways = tuple(Choice(word, shown[word]) for word in MOTIONS if word not in stated)
    if not ways:
        return ()
    loads = [name for name, section in tables.names.items() if section == "loads"]
    return (
        Cell("motion", "how", (ways[0].word,), (Group("", ways),), needed=True),
        *cells_of(tables, (LOAD,), {"load": loads[0] if len(loads) == 1 else ""}),
        Cell("f-far", "how far: 4 m, 30 ft", ()),
    )
