"""What is moved: stating `haul` and `lower` in a rig's text, changing them and taking them out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ropewright.rig.draft import Found
from ropewright.rig.editing.names import names
from ropewright.rig.editing.page import EditError, Page, open_page
from ropewright.rig.editing.parts import filled_in, with_fields
from ropewright.rig.editing.sections import add_section, without_trace
from ropewright.rig.editing.words import Field
from ropewright.rig.faults import listed, shown
from ropewright.rig.shape import motion_faults

__all__ = ["LOAD", "MOTIONS", "add_motion", "change_motion", "remove_motion"]

LOAD = Field("load", "load", "load", needed=True)
MOTIONS: Mapping[str, tuple[Field, ...]] = {
    "haul": (LOAD, Field("up", "figure", "how far up", needed=True)),
    "lower": (LOAD, Field("down", "figure", "how far down", needed=True)),
}


def add_motion(text: str, word: str, values: Mapping[str, str]) -> str:
    """State that a load is hauled or lowered. Errors: EditError."""
    page = open_page(text)
    flows, motion = filled_in(_fields(word), values)
    labels = {field.key: field.label for field in _fields(word)}
    faults = [
        f"{labels[str(found.path[-1])]}: {found.text}" if found.path[-1] in labels else found.text
        for found in _faults(page, word, motion)
    ]
    if faults:
        raise EditError("; ".join(faults))
    return add_section(page, word, motion, f"{{{', '.join(flows)}}}")


def change_motion(text: str, word: str, values: Mapping[str, str]) -> str:
    """Change which load is moved, or how far. Errors: EditError."""
    page, motion = _motion(text, word)
    return with_fields(page, (word,), motion, _fields(word), values, lambda m: _faults(page, word, m)).text


def remove_motion(text: str, word: str) -> str:
    """Take a `haul` or a `lower` out. Errors: EditError."""
    page, _ = _motion(text, word)
    return without_trace(page, (word,))


def _fields(word: str) -> tuple[Field, ...]:
    if word not in MOTIONS:
        raise EditError(f"found {shown(word)}; a load is moved by {listed(MOTIONS, 'or')}")
    return MOTIONS[word]


def _motion(text: str, word: str) -> tuple[Page, dict[str, Any]]:
    page = open_page(text)
    _fields(word)
    motion = page.value.get(word)
    if not isinstance(motion, dict):
        raise EditError(f"no `{word}` with a load and a way stands here; it may have been removed")
    return page, motion


def _faults(page: Page, word: str, motion: dict[str, Any]) -> list[Found]:
    """What is wrong with a motion, its load among the loads of this rig."""
    faults = motion_faults(word, motion, page.system)
    load = motion.get("load")
    if isinstance(load, str | int) and not any("load" in found.path for found in faults):
        section = names(page).get(str(load))
        if section != "loads":
            stands = f"stands under {section}" if section else "is no name in this rig"
            text = f"{shown(str(load))} {stands}; what is moved is a load"
            faults.append(Found((word, "load"), text))
    return faults
