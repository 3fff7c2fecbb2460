"""A rig on its way to being accepted: the parts whose shape is right, and the names of those that are not."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from ropewright.catalogue import Catalogue, GearType
from ropewright.quantity import System
from ropewright.rig.document import UNREAD_CONTACT
from ropewright.rig.faults import article, listed, nearest, suggestion
from ropewright.rig.model import Contact, Crew, Gear, Load, Part, Place, Point, Rig, Rope
from ropewright.rig.yamltext import Path

__all__ = ["Draft", "Found", "is_unread"]


@dataclass(frozen=True, slots=True)
class Found:
    """A fault on its way to its place; `key` puts it at the key instead of the value.

    mends: what else may mend it than what stands there: something that is still to be added elsewhere
        (`more`), or the other contacts of a run (`run`).
    """

    path: Path
    text: str
    key: bool = False
    mends: Literal["itself", "more", "run"] = "itself"


def is_unread(contact: Contact) -> bool:
    """Whether this stands for a contact that could not be read."""
    return contact.text == UNREAD_CONTACT.text


@dataclass(frozen=True, slots=True)
class Draft:
    """The rig so far, the raw `assume` and `policy`, and every name written in the file with its section.

    A name in `sections` without a part in `rig` belongs to a part that is already at fault; what refers
    to it is left alone, so that one mistake is told once.
    """

    rig: Rig
    catalogue: Catalogue
    system: System
    sections: Mapping[str, str]
    assume: Mapping[str, Any] = field(default_factory=dict)
    policy: Mapping[str, Any] = field(default_factory=dict)

    def part(self, name: str | None) -> Part | None:
        """Give the part of that name, when its own description is in order."""
        section = self.sections.get(name or "")
        parts: Mapping[str, Part] = getattr(self.rig, section) if section else {}
        return parts.get(name or "")

    def broken(self, name: str) -> bool:
        """Whether the name is written in the file but its part is at fault already."""
        return name in self.sections and self.part(name) is None

    def type_of(self, name: str) -> GearType | None:
        """Give the catalogue's entry for a type, or None."""
        return self.catalogue.get(name)

    def unknown(self, name: str, *sections: str) -> str:
        """Write the sentence for a name that stands nowhere in these sections, with the nearest that does."""
        known = [word for word, section in self.sections.items() if section in sections]
        there = f"There is {listed(f'`{word}`' for word in known[:8])}" if known else "There is none"
        return f"`{name}` is no name in {listed(sections, 'or')}. {suggestion(name, known, there)}"

    def wrong_type(self, name: str, *families: str, wanted: str) -> str | None:
        """Write the sentence for a type that is unknown or of the wrong family; None when it is right."""
        known = [word for word, kind in self.catalogue.items() if kind.family in families]
        kind = self.type_of(name)
        if kind is None:
            close = nearest(name, known) or self.catalogue.nearest(name)
            right = f"Did you mean `{close}`?" if close else f"Known: {', '.join(known[:12])}"
            return f"the catalogue has no type `{name}`. {right}"
        if kind.family in families:
            return None
        return f"`{name}` is {article(kind.family)}; {wanted}, as in {listed(known[:4], 'or')}"

    def chain(self, name: str) -> Iterator[str]:
        """Walk from a part to what it is clipped to, and on; stops where the chain comes round again."""
        seen: set[str] = set()
        here: str | None = name
        while here and here not in seen:
            seen.add(here)
            yield here
            part = self.part(here)
            here = part.at if isinstance(part, Gear) and isinstance(part.at, str) else None

    def root(self, name: str) -> str:
        """Give the name at the end of the chain: gear clipped to gear shares its place."""
        *_, last = self.chain(name)
        return last

    def position(self, name: str) -> Point | None:
        """Give the place of a part [m], where the file fixes it."""
        part = self.part(self.root(name))
        if isinstance(part, Place | Load | Crew):
            return part.at
        return part.at if isinstance(part, Gear) and isinstance(part.at, tuple) else None

    @property
    def all_read(self) -> bool:
        """Whether every contact of every rope could be read, so that what is missing is really missing."""
        broken = any(section == "ropes" and self.broken(name) for name, section in self.sections.items())
        return not broken and not any(is_unread(each) for rope in self.runs() for each in rope.run)

    def runs(self) -> Iterator[Rope]:
        """Give every rope whose description is in order."""
        yield from self.rig.ropes.values()
