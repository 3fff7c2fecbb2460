"""Figures of a rig's own laid out as a table, each beside the catalogue's: `assume`."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.catalogue import FIGURES
from ropewright.quantity import QuantityError, show_range
from ropewright.rig.editing import EditError
from ropewright.rig.editing.figures import Target, target_named
from ropewright.rig.editing.rows import Tables
from ropewright.rig.editing.stated import StatedRow
from ropewright.rig.figures import figure_key, read_figure
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.table_cells import Cell, Choice, Group, Statement, Statements
from ropewright.web.workings.engine import catalogue

__all__ = ["figures"]

_KEYS = tuple(key for key in FIGURES if key != "mass-per-length")
_WITH_FIGURES = ("gear", "ropes", "points")


def figures(tables: Tables) -> Statements:
    """The figures stated of parts and types."""
    return Statements(
        "figure",
        "Figures of its own",
        "Each replaces the catalogue's, for one part or for every one of a type.",
        "None: the catalogue's count.",
        "State a figure",
        tuple(_figure(tables, row) for row in tables.figures),
        _new_figure(tables),
    )


def _figure(tables: Tables, row: StatedRow) -> Statement:
    key = f"figure-{row.of}-{row.key}"
    if not row.readable:
        return Statement(key, row.of or "assume", "", row.line, "figure")
    value = row.typed[row.key]
    meaning = f": {FIGURES[row.key].meaning}" if row.key in _KEYS else ""
    cell = Cell("value", f"{row.key}{meaning}", (value,), needed=True)
    own = {"of": row.of, "figure": row.key}
    words = f"{_whose(tables, row.of)}{row.key} {_figure_told(tables, row)}"
    return Statement(key, row.of, words, row.line, "figure", own, (cell,))


def _whose(tables: Tables, name: str) -> str:
    """Whom a figure counts for, where that is not one part."""
    if name not in tables.names:
        return "every one: "
    return "the part and every one of this type: " if name in catalogue() else ""


def _figure_told(tables: Tables, row: StatedRow) -> str:
    """A figure in both systems beside the catalogue's; as it is written where it can't be read."""
    written = row.typed[row.key]
    try:
        target = _target(tables, row.of)
        if row.key not in target.keys:
            return f"{written}, which it does not have"
        found = read_figure(row.value, row.key, tables.system, of_rope=target.is_rope)
    except (EditError, QuantityError):
        return f"{written}, which can't be read"
    units, kind = rules_now().units, figure_key(row.key, of_rope=target.is_rope).kind
    shown = show_range(found, kind, units)
    if target.type is None:
        return shown
    theirs = target.type.figures.get(row.key)
    if theirs is None or theirs.value is None:
        return f"{shown}; the catalogue does not know it"
    return f"{shown}; the catalogue has {show_range(theirs.value, kind, units)}"


def _target(tables: Tables, name: str) -> Target:
    section = tables.names.get(name)
    return target_named(name, section, tables.type_of(name) if section else None, catalogue())


def _new_figure(tables: Tables) -> tuple[Cell, ...]:
    listed = tuple(Choice(key, f"{key}: {FIGURES[key].meaning}") for key in _KEYS)
    return (
        Cell("of", "of what", ("",), tuple(_named(tables)), needed=True, narrows="figure"),
        Cell("figure", "which figure", ("",), (Group("", (Choice("", "choose"), *listed)),), needed=True),
        Cell("value", "with its unit: 25 kN, 300 lb, 0.85..0.92", ()),
    )


def _named(tables: Tables) -> Iterator[Group]:
    """Everything that figures may be stated of, the parts of the rig first."""
    yield Group("", (Choice("", "choose"),))
    parts = tuple(_chosen(tables, name) for name, section in tables.names.items() if section in _WITH_FIGURES)
    listed = tuple(each for each in parts if each.has)
    if listed:
        yield Group("one part", listed)
    families = dict.fromkeys(kind.family for kind in catalogue().values())
    for family in families:
        kinds = catalogue().of_family(family)
        yield Group(f"every {family}", tuple(_chosen(tables, kind.name) for kind in kinds))


def _chosen(tables: Tables, name: str) -> Choice:
    try:
        return Choice(name, name, " ".join(_target(tables, name).keys))
    except EditError:
        return Choice(name, name)
