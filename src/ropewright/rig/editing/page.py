"""A rig's text as a page that can be changed in one place while every other character stays.

The text is not written anew: that would lose how its lines are set. A change is a `Splice` at the place of
the node that changes, and `Page.changed` makes sure that it did what was meant and nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

import yaml

from ropewright.errors import RopewrightError
from ropewright.quantity import System
from ropewright.rig.faults import Fault, RigFileError
from ropewright.rig.textfile import read_text
from ropewright.rig.yamltext import Path, load_yaml

__all__ = ["EditError", "Page", "Splice", "UnreadableError", "open_page"]

INDENT = 2


class EditError(RopewrightError):
    """A change that is refused; the text says what was found and what would be right."""


class UnreadableError(EditError):
    """A text that can't be followed as YAML, so that only the text itself can be mended."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(str(fault) for fault in self.faults[:5]))


class Splice(NamedTuple):
    """Characters from `start` to `end` give way to `text`."""

    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class Page:
    """A text that can be followed: its plain value, and the node of every value."""

    text: str
    value: dict[str, Any]
    root: yaml.MappingNode

    @property
    def system(self) -> System:
        """What a bare number means in it."""
        return "us" if self.value.get("units") == "us" else "metric"

    def entry(self, path: Path) -> tuple[yaml.Node | None, yaml.Node] | None:
        """The key and the value that stand at a path; an item of a list has no key."""
        key: yaml.Node | None = None
        node: yaml.Node = self.root
        for step in path:
            if isinstance(node, yaml.MappingNode) and isinstance(step, str):
                found = [(k, v) for k, v in node.value if k.value == step]
                if not found:
                    return None
                key, node = found[0]
            elif isinstance(node, yaml.SequenceNode) and isinstance(step, int):
                if not 0 <= step < len(node.value):
                    return None
                key, node = None, node.value[step]
            else:
                return None
        return key, node

    def node(self, path: Path) -> yaml.Node:
        """The value at a path that is known to be there."""
        found = self.entry(path)
        if found is None:
            raise KeyError(path)
        return found[1]

    def pair(self, path: Path) -> tuple[yaml.Node, yaml.Node]:
        """The key and the value at a path that is known to be there, in a mapping."""
        key, node = self.entry(path) or (None, self.root)
        if key is None:
            raise KeyError(path)
        return key, node

    def in_flow(self, path: Path) -> bool:
        """Whether what stands at a path is inside brackets."""
        above = (self.node(path[:depth]) for depth in range(len(path)))
        return any(isinstance(node, yaml.CollectionNode) and node.flow_style for node in above)

    def raw(self, path: Path) -> str:
        """A scalar as it is written, so that `0.20` stays `0.20`; nothing for what is no scalar."""
        node = self.node(path)
        return str(node.value) if isinstance(node, yaml.ScalarNode) else ""

    def line(self, path: Path) -> int:
        """The line of the key at a path, or of the value where there is no key."""
        found = self.entry(path)
        if found is None:
            return 1
        return int((found[0] or found[1]).start_mark.line) + 1

    def end(self, node: yaml.Node) -> int:
        """Where a value ends: of a block, where its last leaf ends, before comments and blank lines."""
        if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
            last = node.value[-1]
            return self.end(last[1] if isinstance(last, tuple) else last)
        start, end = node.start_mark.index, node.end_mark.index
        return int(start + len(self.text[start:end].rstrip()))

    def end_of(self, path: Path) -> int:
        """Where the entry at a path ends: its value, or its key where it has none."""
        found = self.entry(path)
        if found is None:
            raise KeyError(path)
        key, node = found
        return max(self.end(node), key.end_mark.index if key is not None else 0)

    def flows(self, path: Path) -> bool:
        """Whether the value at a path is written in brackets."""
        return bool(getattr(self.node(path), "flow_style", False))

    def line_start(self, offset: int) -> int:
        """Where the line of a character starts."""
        return self.text.rfind("\n", 0, offset) + 1

    def line_end(self, offset: int) -> int:
        """Where the line of a character ends, before its line break."""
        found = self.text.find("\n", offset)
        return len(self.text) if found < 0 else found

    def changed(self, splices: Iterable[Splice], expected: dict[str, Any]) -> str:
        """The text with its splices; EditError unless it then reads as what was meant."""
        text = self.text
        for start, end, new in sorted(splices, reverse=True):
            text = text[:start] + new + text[end:]
        try:
            tree = load_yaml(text)
        except RigFileError:
            tree = None
        if tree is None or tree.faults or not _same(tree.value, expected):
            raise EditError("this place is written in a way that can only be changed in the text itself")
        return text


def open_page(text: str) -> Page:
    """Follow a text. Errors: UnreadableError with every fault that keeps it from being followed."""
    try:
        plain = read_text(text, "rig file", "a rig file", "lower.rig.yaml").removeprefix("\ufeff")
        tree = load_yaml(plain)
    except RigFileError as error:
        raise UnreadableError(error.faults) from None
    faults = list(tree.faults)
    if not faults and not isinstance(tree.value, dict):
        faults = [tree.fault((), "this is no list of keys such as `rig:`, `points:`, `ropes:`")]
    if faults:
        raise UnreadableError(sorted(faults))
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    root = yaml.compose(plain, Loader=loader)
    assert isinstance(root, yaml.MappingNode)
    return Page(plain, tree.value, root)


def _same(one: Any, other: Any) -> bool:
    """Whether two plain values are the same, the order of their keys and the kinds of their numbers too."""
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return type(one) is type(other) and (one == other or one != one)
