"""What a card says, as plain strings: made without a typesetter, tested without one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

__all__ = ["Card", "CheckRow", "Line", "Paper", "Print", "Section", "Table"]

Paper = Literal["a4", "us-letter"]


@dataclass(frozen=True, slots=True)
class Line:
    """One entry of a section: an optional word in front, the text, and what follows from it.

    ``strong``: what nobody may miss.
    """

    text: str
    lead: str = ""
    then: str = ""
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head; ``strong`` are the numbers of the rows that nobody may miss, from 0.

    ``wide`` is the column that takes the room that is left.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    strong: tuple[int, ...] = ()
    wide: int = 0


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One row of the pre-load check: what to touch, how it has to be, and the boxes to tick on the way."""

    what: str
    how: str
    boxes: tuple[str, ...] = ()
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with lines, a table or check rows under it. ``spare`` is when it may be left out where two
    pages are not enough: the greatest first, 0 never.
    """

    key: str
    title: str
    lines: tuple[Line, ...] = ()
    table: Table | None = None
    rows: tuple[CheckRow, ...] = ()
    after: tuple[Line, ...] = ()
    spare: int = 0


@dataclass(frozen=True, slots=True)
class Print:
    """A picture made for black ink: SVG text, its size [pt] at which its words are as small as words may be,
    and what it shows in a sentence.
    """

    svg: str
    width: float
    height: float
    alt: str


@dataclass(frozen=True)
class Card:
    """A rig card: everything that is printed, in the order in which it is printed.

    ``told_first`` stands at its head: without it the verdict would be read for more than it is.
    """

    title: str
    purpose: str
    verdict: str
    policy: str
    picture: Print | None
    picture_note: str
    sections: tuple[Section, ...]
    caution: str
    file: str
    time: str
    version: str
    left_out: str = ""
    told_first: tuple[str, ...] = ()

    def section(self, key: str) -> Section | None:
        """The section of that name, None where the card has none."""
        return next((s for s in self.sections if s.key == key), None)

    def without(self, least: int, *, picture: bool = False) -> Card:
        """The card without the sections that may be spared at ``least`` and above, and without its
        ``picture`` if that is asked for, saying so.
        """
        kept, gone = tuple(s for s in self.sections if s.spare < least), list[str]()
        if picture and self.picture is not None:
            gone.append(f"the picture (`ropewright draw {self.file}` makes it)")
        titles = [s.title for s in self.sections if s.spare >= least]
        if titles:
            gone.append(f"{'; '.join(titles)} (`ropewright check {self.file}` prints all of it)")
        if not gone:
            return self
        said = f"LEFT OUT for want of room: {'; '.join(gone)}."
        return replace(self, sections=kept, picture=None if picture else self.picture, left_out=said)
