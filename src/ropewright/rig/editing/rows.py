"""A rig's text as ropes with their contacts and as small tables, each cell as it would be typed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from ropewright.quantity import System
from ropewright.rig.contacts import ContactError, read_contact
from ropewright.rig.document import SECTIONS
from ropewright.rig.editing.heading import heading_of
from ropewright.rig.editing.names import names
from ropewright.rig.editing.page import EditError, Page, open_page
from ropewright.rig.editing.stated import StatedRow, figure_rows, motion_rows, rule_rows
from ropewright.rig.editing.words import FIELDS, typed

__all__ = ["MOST_ROWS", "ContactRow", "PartRow", "RopeRows", "Tables", "contact_words", "tables"]

MOST_ROWS = 400
"""Rows beyond which a page of tables is of no use to anybody; a rig has some dozens."""
_SLACK = re.compile(r"\bslack\s+(.+?)(?=\s+(?:with|reversed)\b|$)")


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part with its fields as typed, by key. `readable`: whether it is written as keys and values."""

    name: str
    line: int
    values: Mapping[str, str]
    readable: bool = True


@dataclass(frozen=True, slots=True)
class ContactRow:
    """A contact of a run. `values` is empty where its words can't be read."""

    index: int
    line: int
    words: str
    values: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RopeRows:
    """A rope: its own fields and its contacts in order."""

    part: PartRow
    contacts: tuple[ContactRow, ...]


@dataclass(frozen=True, slots=True)
class Tables:
    """All of a rig that the tables can change, and every name with its section."""

    system: System
    heading: Mapping[str, str]
    parts: Mapping[str, tuple[PartRow, ...]]
    ropes: tuple[RopeRows, ...]
    names: Mapping[str, str]
    motions: tuple[StatedRow, ...] = ()
    figures: tuple[StatedRow, ...] = ()
    rules: tuple[StatedRow, ...] = ()

    def type_of(self, name: str) -> str | None:
        """What a piece of gear or a rope is of, as it stands there."""
        rows = [*self.parts.get("gear", ()), *(rope.part for rope in self.ropes)]
        return next((row.values.get("is") for row in rows if row.name == name), None)


def tables(text: str) -> Tables:
    """Lay a text out as tables. Errors: UnreadableError; EditError where it has too many rows to show."""
    page = open_page(text)
    ropes = tuple(_rope(page, row) for row in _rows(page, "ropes"))
    parts = {section: tuple(_rows(page, section)) for section in SECTIONS if section != "ropes"}
    motions, figures, rules = tuple(motion_rows(page)), tuple(figure_rows(page)), tuple(rule_rows(page))
    count = sum(map(len, parts.values())) + sum(1 + len(rope.contacts) for rope in ropes)
    count += len(figures) + len(rules)
    if count > MOST_ROWS:
        raise EditError(f"{count:,} rows are more than these tables hold ({MOST_ROWS}); use the text")
    return Tables(
        page.system,
        heading_of(page),
        parts,
        ropes,
        names(page),
        motions,
        figures,
        rules,
    )


def _rows(page: Page, section: str) -> Iterator[PartRow]:
    found = page.value.get(section)
    for name, part in (found if isinstance(found, dict) else {}).items():
        path = (section, name)
        if isinstance(part, dict):
            values = {each.key: typed(page, (*path, each.key)) for each in FIELDS[section]}
            yield PartRow(name, page.line(path), values)
        else:
            yield PartRow(name, page.line(path), {}, readable=False)


def _rope(page: Page, row: PartRow) -> RopeRows:
    part: Any = page.value["ropes"][row.name]
    run = part.get("run") if isinstance(part, dict) else None
    contacts = [
        _contact(index, page.line(("ropes", row.name, "run", index)), words, page.system)
        for index, words in enumerate(run if isinstance(run, list) else ())
    ]
    return RopeRows(row, tuple(contacts))


def _contact(index: int, line: int, words: Any, system: System) -> ContactRow:
    shown = " ".join(words.split()) if isinstance(words, str) else ""
    try:
        contact = read_contact(words, system)
    except ContactError:
        return ContactRow(index, line, shown or "(not words)")
    slack = _SLACK.search(shown)
    values = {
        "verb": contact.verb,
        "target": contact.target or "",
        "sheave": str(contact.sheave) if contact.verb == "through" and "." in shown.split()[1] else "",
        "knot": contact.knot or "",
        "slack": slack[1] if slack else "",
        "reversed": "yes" if contact.reversed else "",
    }
    return ContactRow(index, line, shown, values)


def contact_words(values: Mapping[str, str]) -> str:
    """The words of a contact from what was chosen for each of its parts."""
    verb, target = values.get("verb", "").strip(), values.get("target", "").strip()
    if verb == "tail":
        return verb
    sheave, knot, slack = (values.get(key, "").strip() for key in ("sheave", "knot", "slack"))
    words = [verb, f"{target}.{sheave}" if sheave and verb == "through" else target]
    words += ["with", knot] if knot and verb == "tie" else []
    words += ["slack", slack] if slack else []
    words += ["reversed"] if values.get("reversed") and verb in ("grip", "through") else []
    return " ".join(filter(None, words))
