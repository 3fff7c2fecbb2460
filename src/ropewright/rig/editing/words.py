"""What is typed into the fields of a table, and how it is written in a rig file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import yaml

from ropewright.catalogue import Family
from ropewright.rig.checks import GEAR_FAMILIES
from ropewright.rig.editing.page import EditError, Page
from ropewright.rig.faults import RigFileError
from ropewright.rig.fields import is_name
from ropewright.rig.writer import OLD_WORDS, quoted
from ropewright.rig.yamltext import Path, hidden_character, load_yaml

__all__ = ["FIELDS", "NOTHING", "Field", "in_words", "typed", "written"]

Takes = Literal[
    "choice", "type", "types", "edges", "place", "clip", "load", "figure", "pull", "count", "words"
]

LONGEST = 2000
NOTHING = "nothing"
"""Typed where a list is stated to be empty, as in `via: []`."""
# Characters of a figure that mean nothing to YAML, in brackets or out of them.
_FIGURE = re.compile(r"(?:[-+]?[.\d])[\w.+\-%/ ]*\Z")
_SPACES = re.compile(r"\s+")


@dataclass(frozen=True, slots=True)
class Field:
    """A key of a part: what it takes, its label, the words or families to choose from, and what it means to
    leave it out.
    """

    key: str
    takes: Takes
    label: str
    words: tuple[str, ...] = ()
    families: tuple[Family, ...] = ()
    needed: bool = False
    left_out: str = "not stated"


_ABOUT = Field("about", "words", "about")
_AT = Field("at", "place", "where: x, z or x, y, z", needed=True)
FIELDS: Mapping[str, tuple[Field, ...]] = {
    "points": (
        Field("kind", "choice", "kind", ("anchor", "edge", "stand", "ground"), needed=True),
        _AT,
        Field("strength", "figure", "rated strength"),
        Field("surface", "type", "surface", families=("surface",)),
        Field("protection", "type", "protection on it", families=("protection",), left_out="none"),
        _ABOUT,
    ),
    "loads": (
        Field("kind", "choice", "kind", ("person", "litter", "pack", "object"), needed=True),
        Field("mass", "figure", "mass", needed=True),
        _AT,
        Field("wears", "type", "wears", families=("body",), left_out="nothing stated"),
        _ABOUT,
    ),
    "crews": (
        _AT,
        Field("people", "count", "people"),
        Field("pull", "pull", "pull of each"),
        _ABOUT,
    ),
    "gear": (
        Field("is", "type", "type", families=GEAR_FAMILIES, needed=True),
        Field("at", "clip", "clipped to, or where it starts on its rope"),
        Field(
            "via",
            "types",
            "joined by, from the place outward",
            families=("join",),
            left_out="one locking carabiner",
        ),
        Field("over", "edges", "edge that the join lies over", left_out="none"),
        Field("state", "choice", "state", ("running", "locked-off", "in-hand"), left_out="running"),
        _ABOUT,
    ),
    "ropes": (
        Field("is", "type", "type", families=("rope",), needed=True),
        Field("length", "figure", "length"),
        _ABOUT,
    ),
}


def typed(page: Page, path: Path) -> str:
    """A value as it would be typed: numbers as they are written, lists with commas."""
    found = page.entry(path)
    if found is None:
        return ""
    node = found[1]
    if isinstance(node, yaml.SequenceNode):
        items = [typed(page, (*path, index)) for index in range(len(node.value))]
        return ", ".join(items) if items else NOTHING
    return " ".join(str(node.value).split()) if isinstance(node, yaml.ScalarNode) else ""


def written(field: Field, text: str) -> tuple[str, Any]:
    """What was typed as YAML on one line, with the plain value that it reads as. Errors: EditError."""
    text = _SPACES.sub(" ", text.strip())
    hidden = hidden_character(text)
    if hidden:
        raise EditError(f"{field.label}: found the hidden character {hidden}; write words without it")
    if len(text) > LONGEST:
        raise EditError(f"{field.label}: found {len(text):,} characters; at most {LONGEST:,} fit")
    flow = _WRITERS.get(field.takes, in_words)(text)
    tree = load_yaml(f"v: {flow}")
    if tree.faults:
        raise EditError(f"{field.label}: {tree.faults[0].text}")
    return flow, tree.value["v"]


def in_words(text: str) -> str:
    """Words as a scalar: without quotes where they read as just these words, in brackets and out of them."""
    try:
        inside, outside = load_yaml(f"[{text}]"), load_yaml(f"v: {text}")
    except RigFileError:
        return quoted(text)
    same = inside.value == [text] and outside.value == {"v": text} and text.lower() not in OLD_WORDS
    return text if same and not inside.faults and not outside.faults else quoted(text)


def _figure(text: str) -> str:
    return text if _FIGURE.match(text) else in_words(text)


def _list(text: str) -> str:
    items = [] if text == NOTHING else [item for item in re.split(r"[\s,]+", text) if item]
    return f"[{', '.join(map(in_words, items))}]"


def _place(text: str) -> str:
    inside = text.removeprefix("[").removesuffix("]").strip()
    pieces = [piece.strip() for piece in re.split(r"[,;]", inside)]
    if len(pieces) == 1:
        pieces = inside.split()
    if len(pieces) > 1 and all(_FIGURE.match(piece) for piece in pieces):
        return f"[{', '.join(pieces)}]"
    return in_words(text)


def _clip(text: str) -> str:
    return in_words(text) if is_name(text) else _place(text)


_WRITERS: Mapping[Takes, Callable[[str], str]] = {
    "figure": _figure,
    "pull": _figure,
    "count": _figure,
    "types": _list,
    "edges": _list,
    "place": _place,
    "clip": _clip,
}
