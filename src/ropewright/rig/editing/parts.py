"""A part of a rig added, changed, renamed or taken out."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.quantity import System
from ropewright.rig.draft import Found
from ropewright.rig.editing.names import Use, check_apart, check_free, part_at, renamed, section_of, uses
from ropewright.rig.editing.page import INDENT, EditError, Page, open_page
from ropewright.rig.editing.runs import contact_text
from ropewright.rig.editing.sections import add_section
from ropewright.rig.editing.splices import cut_entry, new_entry, new_value, without
from ropewright.rig.editing.words import FIELDS, Field, in_words, typed, written
from ropewright.rig.shape import part_faults
from ropewright.rig.yamltext import Path

__all__ = [
    "InUseError",
    "add_part",
    "add_rope",
    "change_part",
    "filled_in",
    "remove_part",
    "rename_part",
    "with_fields",
]


class InUseError(EditError):
    """A part that something still names. `along`: what would go too; `kept`: what is to be changed first."""

    def __init__(self, name: str, along: list[Use], kept: list[Use]) -> None:
        self.name, self.along, self.kept = name, along, kept
        first = kept or along
        told = "; ".join(use.text for use in first[:6])
        right = "change that first" if kept else "remove those too, or change them first"
        super().__init__(f"`{name}` is still used: {told}. Nothing was removed; {right}")


def rename_part(text: str, name: str, new: str, known: Catalogue | None = None) -> str:
    """Give a part another name, wherever it is named. `known`: the types; the shipped ones when left out."""
    return renamed(open_page(text), name, new.strip(), known or load_catalogue())


def change_part(text: str, name: str, values: Mapping[str, str]) -> str:
    """Change what stands in some fields of a part; a field left empty is taken out."""
    page = open_page(text)
    section = section_of(page, name)
    part = part_at(page, section, name)

    def faults(part: dict[str, Any]) -> list[Found]:
        return part_faults(section, name, part, page.system)

    return with_fields(page, (section, name), part, FIELDS[section], values, faults).text


def with_fields(
    page: Page,
    at: Path,
    part: Mapping[str, Any],
    fields: Iterable[Field],
    values: Mapping[str, str],
    faults_of: Callable[[dict[str, Any]], list[Found]],
) -> Page:
    """The page with other values in some fields of what stands at a path."""
    part = dict(part)
    for field in fields:
        path: Path = (*at, field.key)
        new = " ".join(values.get(field.key, typed(page, path)).split())
        if new == typed(page, path):
            continue
        if new:
            flow, part[field.key] = written(field, new)
        else:
            part.pop(field.key)
        faults = [
            found.text
            for found in faults_of(part)
            if found.path[len(at) : len(at) + 1] == (field.key,)
            or (not new and f"`{field.key}` is missing" in found.text)
        ]
        if faults:
            raise EditError(f"{field.label}: {faults[0]}")
        if not new:
            splice = cut_entry(page, path)
        elif page.entry(path) is None:
            splice = new_entry(page, at, field.key, flow)
        else:
            splice = new_value(page, path, flow)
        page = open_page(page.changed([splice], _with(page.value, at, dict(part))))
    return page


def _with(whole: dict[str, Any], at: Path, part: dict[str, Any]) -> dict[str, Any]:
    whole = copy.deepcopy(whole)
    parent: Any = whole
    for step in at[:-1]:
        parent = parent[step]
    parent[at[-1]] = part
    return whole


def add_part(
    text: str, section: str, name: str, values: Mapping[str, str], known: Catalogue | None = None
) -> str:
    """Add a point, a load, a crew or a piece of gear at the end of its section."""
    page = open_page(text)
    name = name.strip()
    if section not in FIELDS or section == "ropes":
        raise EditError(f"nothing can be added under {section}")
    check_free(page, name, known or load_catalogue())
    flows, part = filled_in(FIELDS[section], values)
    _refuse_faults(section, name, part, page.system)
    return _with_part(page, section, name, part, f"{{{', '.join(flows)}}}")


def add_rope(
    text: str, name: str, values: Mapping[str, str], contacts: list[str], known: Catalogue | None = None
) -> str:
    """Add a rope that runs over these contacts."""
    page = open_page(text)
    name = name.strip()
    check_free(page, name, known or load_catalogue())
    flows, part = filled_in(FIELDS["ropes"], values)
    run = [contact_text(words, page.system) for words in contacts]
    about = [line for line in flows if line.startswith("about:")]
    lines = [*(line for line in flows if line not in about), "run:" if run else "run: []"]
    inner = " " * INDENT
    lines += [f"{inner}- {in_words(each)}" for each in run] + about
    lines = [f"{in_words(name)}:", *(inner + line for line in lines)]
    ordered = {key: value for key, value in part.items() if key != "about"} | {"run": run}
    if "about" in part:
        ordered["about"] = part["about"]
    _refuse_faults("ropes", name, ordered, page.system)
    runs = f"run: [{', '.join(map(in_words, run))}]"
    flow = f"{{{', '.join([*(each for each in flows if each not in about), runs, *about])}}}"
    return _with_part(page, "ropes", name, ordered, flow, "\n".join(lines))


def filled_in(fields: Iterable[Field], values: Mapping[str, str]) -> tuple[list[str], dict[str, Any]]:
    """Those of the fields of something new that are filled in, written and as plain values."""
    flows, part = [], {}
    for field in fields:
        if values.get(field.key, "").strip():
            flow, part[field.key] = written(field, values[field.key])
            flows.append(f"{field.key}: {flow}")
    return flows, part


def _refuse_faults(section: str, name: str, part: dict[str, Any], system: System) -> None:
    faults = part_faults(section, name, part, system)
    if faults:
        labels = {field.key: field.label for field in FIELDS[section]}
        told = [f"{labels.get(str(found.path[-1]), found.path[-1])}: {found.text}" for found in faults]
        raise EditError("; ".join(dict.fromkeys(told)))


def _with_part(
    page: Page, section: str, name: str, part: dict[str, Any], flow: str, block: str | None = None
) -> str:
    whole = copy.deepcopy(page.value)
    if section in whole and not isinstance(whole[section], dict | None):
        raise EditError(f"`{section}` holds no list of names here; mend it in the text first")
    if section in whole:
        whole[section] = {**(whole[section] or {}), name: part}
        return page.changed([new_entry(page, (section,), in_words(name), flow, block)], whole)
    # A missing section comes first, empty; then it is filled like any other.
    page = open_page(add_section(page, section, {}, "{}"))
    whole = {**page.value, section: {name: part}}
    return page.changed([new_entry(page, (section,), in_words(name), flow, block)], whole)


def remove_part(text: str, name: str, known: Catalogue | None = None, *, with_uses: bool = False) -> str:
    """Take a part out. Errors: InUseError where something names it, EditError where its figures are not its
    own alone.

    with_uses: the contacts and the figures that name it go too; gear that is clipped to it, and a haul or
    lower that moves it, have to be changed first.
    """
    page = open_page(text)
    section = section_of(page, name)
    check_apart(page, name, known or load_catalogue())
    found = uses(page, name)
    along = [use for use in found if use.kind in ("contact", "figures")]
    kept = [use for use in found if use not in along]
    if kept or (along and not with_uses):
        raise InUseError(name, along, kept)
    for use in reversed(along):
        page = open_page(without(page, use.path))
    return without(page, (section, name))
