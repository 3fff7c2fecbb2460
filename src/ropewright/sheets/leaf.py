"""The sheets of a procedure as plain strings: one form for all of them, set as PDF or written as text."""

from __future__ import annotations

from dataclasses import dataclass

from .model import CheckRow, Line, Print

__all__ = ["Blank", "Block", "Leaf", "Scene", "StepRow"]


@dataclass(frozen=True, slots=True)
class Blank:
    """A place to write by hand: what belongs there, what stands there already, and its share of the line."""

    label: str
    value: str = ""
    share: float = 1.0
    high: bool = False


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step: its number, who does it, its words, why it is critical, what else is to be known, and the boxes
    of which one is ticked.
    """

    number: str
    doer: str
    text: str
    critical: str = ""
    notes: tuple[Line, ...] = ()
    boxes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Scene:
    """A picture of a storyboard with what stands under it; ``instead`` says why there is no picture."""

    title: str
    picture: Print | None
    steps: tuple[StepRow, ...] = ()
    lines: tuple[Line, ...] = ()
    instead: str = ""


@dataclass(frozen=True, slots=True)
class Block:
    """A heading with what stands under it, in this order: lines, a table, steps, rows of blanks, check rows,
    scenes, lines after all that. ``together``: never torn between two pages; ``new_page``: begins one;
    ``kept``: how many of the last steps are never torn from the blocks after it, which so never stand alone.
    """

    key: str
    title: str
    lines: tuple[Line, ...] = ()
    head: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    steps: tuple[StepRow, ...] = ()
    blanks: tuple[tuple[Blank, ...], ...] = ()
    checks: tuple[CheckRow, ...] = ()
    scenes: tuple[Scene, ...] = ()
    after: tuple[Line, ...] = ()
    together: bool = False
    kept: int = 0
    new_page: bool = False


@dataclass(frozen=True)
class Leaf:
    """A sheet: ``kind`` is what it is called, ``verdict`` how the procedure was judged, in words, empty where
    nothing is said of that; ``own``: the rules of the file's own, each with what is asked otherwise, empty
    where it has none; ``wrong`` is what the starting rig has wrong or open.
    """

    key: str
    kind: str
    title: str
    purpose: str
    verdict: str
    judged: str
    own: str
    wrong: tuple[Line, ...]
    blocks: tuple[Block, ...]
    caution: str
    file: str
    time: str
    version: str

    def block(self, key: str) -> Block | None:
        """The block of that name, None where the sheet has none."""
        return next((b for b in self.blocks if b.key == key), None)
