"""What a rig's text states beside its parts, as rows: motions, figures of names, rules of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from ropewright.rig.editing.motions import MOTIONS
from ropewright.rig.editing.page import Page
from ropewright.rig.editing.words import typed

__all__ = ["StatedRow", "figure_rows", "motion_rows", "rule_rows"]


@dataclass(frozen=True, slots=True)
class StatedRow:
    """Something stated for the whole rig: a motion, a figure of a name, a rule.

    `key`: its word or key, "" where the whole can only be changed in the text; `of`: the name that a figure
    is of; `typed`: its fields, or its one value under its own key; `value`: the plain value.
    """

    key: str
    line: int
    typed: Mapping[str, str] = field(default_factory=dict)
    value: Any = None
    of: str = ""
    readable: bool = True


def motion_rows(page: Page) -> Iterator[StatedRow]:
    """What is hauled and lowered."""
    for word, fields in MOTIONS.items():
        motion = page.value.get(word)
        if isinstance(motion, dict):
            yield StatedRow(
                word, page.line((word,)), {f.key: typed(page, (word, f.key)) for f in fields}, motion
            )
        elif motion is not None:
            yield StatedRow(word, page.line((word,)), readable=False)


def figure_rows(page: Page) -> Iterator[StatedRow]:
    """Each figure of each name, in the order of the file."""
    assume = page.value.get("assume")
    if assume is not None and not isinstance(assume, dict):
        yield StatedRow("", page.line(("assume",)), readable=False)
        return
    for name, entries in (assume or {}).items():
        if not isinstance(entries, dict):
            yield StatedRow("", page.line(("assume", name)), of=name, readable=False)
            continue
        for key, value in entries.items():
            path = ("assume", name, key)
            yield StatedRow(key, page.line(path), {key: typed(page, path)}, value, name)


def rule_rows(page: Page) -> Iterator[StatedRow]:
    """Each rule of the rig's own."""
    rules = page.value.get("policy")
    if rules is not None and not isinstance(rules, dict):
        yield StatedRow("", page.line(("policy",)), readable=False)
        return
    for key, value in (rules or {}).items():
        yield StatedRow(key, page.line(("policy", key)), {key: typed(page, ("policy", key))}, value)
