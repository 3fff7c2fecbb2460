"""Figures under `assume:` in a rig's text: stated, changed and taken out."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ropewright.catalogue import Catalogue, GearType, load_catalogue
from ropewright.quantity import QuantityError
from ropewright.rig.document import NOUNS
from ropewright.rig.editing.names import check_apart, names, part_at
from ropewright.rig.editing.page import EditError, Page, open_page
from ropewright.rig.editing.sections import add_section, without_trace
from ropewright.rig.editing.splices import new_entry, new_value
from ropewright.rig.editing.words import Field, in_words, typed, written
from ropewright.rig.faults import listed, shown, suggestion
from ropewright.rig.figures import EDGE_FIGURES, figures_of, read_figure
from ropewright.rig.yamltext import load_yaml

__all__ = ["Target", "add_figure", "change_figure", "remove_figure", "state_figure", "target_named"]


@dataclass(frozen=True, slots=True)
class Target:
    """What figures may be stated of: which it has, and its type where that has some already."""

    keys: tuple[str, ...]
    type: GearType | None = None

    @property
    def is_rope(self) -> bool:
        """Whether its mass is per metre."""
        return self.type is not None and self.type.family == "rope"


def target_named(name: str, section: str | None, type_name: str | None, known: Catalogue) -> Target:
    """What figures a name has. `section`: where it stands, if it is a part; `type_name`: what that is of.

    Errors: EditError where it has none here.
    """
    if section == "points":
        return Target(EDGE_FIGURES)
    if section in ("loads", "crews"):
        raise EditError(f"{shown(name)} is {NOUNS[section]}; its figures stand where it is described")
    kind = known.get(type_name or "" if section else name)
    if kind is None and section:
        raise EditError(f"{shown(name)} is of no type of the catalogue; mend its type first")
    if kind is None:
        right = suggestion(name, known, "Choose a part of this rig or a type of the catalogue")
        raise EditError(f"{shown(name)} is neither a type nor a part of this rig. {right}")
    return Target(figures_of(kind.family), kind)


def add_figure(text: str, name: str, key: str, figure: str, known: Catalogue) -> str:
    """State a figure of a part or a type that states none so far. Errors: EditError."""
    page = open_page(text)
    _check_one(page, name, known)
    _check_target(page, name, key, known)
    if key in (_entries(page, name) or {}):
        raise EditError(f"`{key}` of `{name}` is stated already, among the figures; change it there")
    return _put(page, name, key, *_written(page, name, key, figure, known))


def change_figure(text: str, name: str, key: str, figure: str, known: Catalogue) -> str:
    """State another figure in place of one. Errors: EditError."""
    page = open_page(text)
    _check_stated(page, name, key)
    if " ".join(figure.split()) == typed(page, ("assume", name, key)):
        return page.text
    _check_one(page, name, known)
    _check_target(page, name, key, known)
    return _put(page, name, key, *_written(page, name, key, figure, known))


def remove_figure(text: str, name: str, key: str, known: Catalogue | None = None) -> str:
    """Take a figure out, so that the catalogue's counts again. Errors: EditError."""
    page = open_page(text)
    _check_stated(page, name, key)
    _check_one(page, name, known or load_catalogue())
    return without_trace(page, ("assume", name, key))


def state_figure(text: str, name: str, key: str, figure: str) -> str:
    """Write a figure that is known to be right, be it new or in place of one, for whatever the name counts
    for. Errors: EditError.
    """
    return _put(open_page(text), name, key, figure, load_yaml(f"v: {figure}").value["v"])


def _target(page: Page, name: str, known: Catalogue) -> Target:
    section = names(page).get(name)
    kind = part_at(page, section, name).get("is") if section in ("gear", "ropes") else None
    return target_named(name, section, kind if isinstance(kind, str) else None, known)


def _check_one(page: Page, name: str, known: Catalogue) -> None:
    """Make sure that a name is a part's or a type's and not both, so that it is clear whom a figure is of."""
    check_apart(page, name, known)
    if name in names(page) and name in known:
        right = "Give the part another name first"
        raise EditError(
            f"`{name}` is the name of a part and of a type, and a figure would count for both. {right}"
        )


def _check_target(page: Page, name: str, key: str, known: Catalogue) -> None:
    keys = _target(page, name, known).keys
    if key not in keys:
        right = suggestion(key, keys, f"It has {listed(keys)}")
        raise EditError(f"`{name}` has no figure {shown(key)}. {right}")


def _check_stated(page: Page, name: str, key: str) -> None:
    if key not in (_entries(page, name) or {}):
        raise EditError(f"no {shown(key)} of {shown(name)} is stated here; it may have been removed")


def _written(page: Page, name: str, key: str, figure: str, known: Catalogue) -> tuple[str, Any]:
    """What was typed as YAML and as a plain value, once it reads as this figure."""
    if not figure.strip():
        raise EditError(f"{key}: found nothing; write a figure, or leave it to the catalogue")
    flow, value = written(Field(key, "figure", key), figure)
    try:
        read_figure(value, key, page.system, of_rope=_target(page, name, known).is_rope)
    except QuantityError as error:
        raise EditError(f"{key}: {error}") from None
    return flow, value


def _entries(page: Page, name: str) -> Mapping[str, Any] | None:
    """The figures stated of a name; None where it is not named. Errors: EditError where it holds none."""
    assume = page.value.get("assume")
    if assume is not None and not isinstance(assume, dict):
        raise EditError("`assume` holds no figures by name here; mend it in the text first")
    entries = (assume or {}).get(name)
    if entries is not None and not isinstance(entries, dict):
        raise EditError(f"`assume` holds no figures for {shown(name)} here; mend it in the text first")
    return entries


def _put(page: Page, name: str, key: str, flow: str, value: Any) -> str:
    entries = _entries(page, name)
    called = in_words(name)
    figures = {**(entries or {}), key: value}
    if "assume" not in page.value:
        line = f"{called}: {{{key}: {flow}}}"
        return add_section(page, "assume", {name: figures}, f"{{{line}}}", f"assume:\n  {line}")
    whole = copy.deepcopy(page.value)
    whole["assume"] = {**(whole["assume"] or {}), name: figures}
    if entries and key in entries:
        splice = new_value(page, ("assume", name, key), flow)
    elif name in (page.value["assume"] or {}):
        splice = new_entry(page, ("assume", name), key, flow)
    else:
        splice = new_entry(page, ("assume",), called, f"{{{key}: {flow}}}")
    return page.changed([splice], whole)
