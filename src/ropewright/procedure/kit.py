"""Gear and ropes that a procedure brings along."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ropewright.catalogue import Catalogue
from ropewright.quantity import QuantityError, System
from ropewright.rig import Gear, Rope
from ropewright.rig.draft import Found
from ropewright.rig.faults import nearest, shown
from ropewright.rig.fields import FURTHEST, figure
from ropewright.rig.yamltext import Tree

__all__ = ["read_kit", "read_spare"]


def read_kit(
    section: Mapping[str, Any], catalogue: Catalogue, found: list[Found], tree: Tree
) -> dict[str, Gear]:
    """Gear by name: `{is: TYPE, via: [TYPE, …]}`, what joins it to wherever it is clipped later."""
    out = {}
    for name, part in section.items():
        kind = _type(("gear", name), part, ("is", "via", "about"), catalogue, found)
        if kind is None:
            continue
        if catalogue[kind].family in ("rope", "knot", "surface", "body"):
            text = f"`{kind}` is a {catalogue[kind].family}; gear is what is clipped or put on a rope"
            found.append(Found(("gear", name, "is"), text))
            continue
        via = part.get("via", [])
        if not isinstance(via, list) or any(not _joins(v, catalogue) for v in via):
            found.append(
                Found(
                    ("gear", name, "via"),
                    f"found {shown(via)}; write a list of types that join, as in [lanyard]",
                )
            )
            continue
        line = tree.place(("gear", name), key=True)[0]
        out[name] = Gear(name, kind, None, tuple(via), about=str(part.get("about") or ""), line=line)
    return out


def _joins(word: Any, catalogue: Catalogue) -> bool:
    """Whether a word names a type that joins gear to something."""
    return isinstance(word, str) and word in catalogue and catalogue[word].family == "join"


def read_spare(
    section: Mapping[str, Any], catalogue: Catalogue, system: System, found: list[Found], tree: Tree
) -> dict[str, Rope]:
    """Ropes by name: `{is: TYPE, length: …}`."""
    out = {}
    for name, part in section.items():
        kind = _type(("ropes", name), part, ("is", "length", "about"), catalogue, found)
        if kind is None:
            continue
        if catalogue[kind].family != "rope":
            found.append(
                Found(
                    ("ropes", name, "is"), f"`{kind}` is a {catalogue[kind].family}; a rope's type is a rope"
                )
            )
            continue
        length = None
        if part.get("length") is not None:
            try:
                length = figure(part["length"], "length", system, "above-zero").likely
            except QuantityError as error:
                found.append(Found(("ropes", name, "length"), str(error)))
            if length is not None and length > FURTHEST:
                found.append(Found(("ropes", name, "length"), f"a rope is at most {FURTHEST:,.0f} m here"))
        out[name] = Rope(name, kind, length, (), line=tree.place(("ropes", name), key=True)[0])
    return out


def _type(
    path: tuple[str, str], part: Any, keys: tuple[str, ...], catalogue: Catalogue, found: list[Found]
) -> str | None:
    if not isinstance(part, dict):
        found.append(Found(path, f"found {shown(part)}; write {{is: TYPE}}"))
        return None
    takes = ", ".join(keys)
    found += [
        Found((*path, key), f"unknown key {shown(key)}. It takes {takes}", key=True)
        for key in part
        if key not in keys
    ]
    kind = part.get("is")
    if isinstance(kind, str) and kind in catalogue:
        return str(kind)
    close = nearest(str(kind), catalogue)
    found.append(
        Found(
            (*path, "is") if "is" in part else path,
            f"the catalogue has no type {shown(kind)}." + (f" Did you mean `{close}`?" if close else ""),
        )
    )
    return None
