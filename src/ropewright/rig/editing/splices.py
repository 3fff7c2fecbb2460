"""The splices of single changes: a value, a key, an entry of a mapping, an item of a list.

Blocks (one entry in a line) and flows (`{…}`, `[…]`) are both kept as they are. A comment behind a thing goes
with it when it goes; comments on lines of their own stay.
"""

from __future__ import annotations

import copy
import re
from typing import Any

import yaml

from ropewright.rig.editing.page import INDENT, Page, Splice
from ropewright.rig.yamltext import Path

__all__ = ["cut_entry", "cut_item", "new_entry", "new_item", "new_key", "new_value", "swap_items", "without"]


_SIGN = re.compile(r"[|>][-+\d]*([ \t]+#.*)\Z")


def new_value(page: Page, path: Path, text: str) -> Splice:
    """Write a value in the place of another."""
    node = page.node(path)
    start, end = node.start_mark.index, page.end(node)
    if start >= end:  # nothing stands there
        return Splice(start, start, f" {text}")
    if isinstance(path[-1], str) and isinstance(node, yaml.CollectionNode) and not node.flow_style:
        start = page.text.index(":", page.pair(path)[0].end_mark.index) + 1
        return Splice(start, end, f" {text}")
    return Splice(start, end, f"{text}{_behind_sign(page, node)}")


def _behind_sign(page: Page, node: yaml.Node) -> str:
    """The comment behind the sign (`>` or `|`) that words in lines of their own begin with, and its gap."""
    if not isinstance(node, yaml.ScalarNode) or node.style not in ("|", ">"):
        return ""
    start = node.start_mark.index
    found = _SIGN.search(page.text[start : page.line_end(start)])
    return found[1] if found else ""


def new_key(page: Page, path: Path, text: str) -> Splice:
    """Write another key in the place of one; values that stood in line stay in line where there is room."""
    key, node = page.pair(path)
    start, end = key.start_mark.index, key.end_mark.index
    colon = page.text.index(":", end)
    same_line = node.start_mark.line == key.start_mark.line and node.start_mark.index < page.end(node)
    gap = node.start_mark.index - colon - 1
    others = _columns(page, path[:-1])
    if same_line and gap >= 1 and len(others) > 1 and len(set(others)) == 1:
        gap = max(1, gap - (len(text) - (end - start)))
        return Splice(start, node.start_mark.index, f"{text}:{' ' * gap}")
    return Splice(start, end, text)


def _columns(page: Page, path: Path) -> list[int]:
    """The columns at which the values of a block mapping stand behind their keys."""
    node = page.node(path)
    if not isinstance(node, yaml.MappingNode) or node.flow_style:
        return []
    return [
        value.start_mark.column for key, value in node.value if value.start_mark.line == key.start_mark.line
    ]


def new_entry(page: Page, path: Path, key: str, flow: str, block: str | None = None) -> Splice:
    """Add an entry at the end of the mapping at a path. `block`: lines, unindented, used in a block
    instead of `key: flow`.
    """
    node = page.node(path)
    if isinstance(node, yaml.MappingNode) and node.value and node.flow_style:
        at = page.end(node.value[-1][1]) if _inked(node.value[-1][1]) else node.value[-1][0].end_mark.index
        return Splice(at, at, f", {key}: {flow}")
    if isinstance(node, yaml.MappingNode) and node.value:
        column = node.value[0][0].start_mark.column
        at = page.line_end(page.end(node))
        return Splice(at, at, _lines(block or _aligned(page, path, key, flow, column), column))
    return _first_entry(page, path, key, flow, block)


def _first_entry(page: Page, path: Path, key: str, flow: str, block: str | None) -> Splice:
    """The first entry of a section that holds nothing yet: `gear:`, `gear: {}` or `gear: null`."""
    own, node = page.entry(path) or (None, page.root)
    column = own.start_mark.column + INDENT if own is not None else 0
    if page.in_flow(path):
        return Splice(node.start_mark.index, page.end(node), f"{{{key}: {flow}}}")
    start, end = node.start_mark.index, page.end(node)
    rest = page.text[max(start, end) : page.line_end(max(start, end))]
    if start < end:
        start = page.text.rindex(":", 0, start) + 1
    lines = _lines(block or f"{key}: {flow}", column)
    return Splice(start, max(start, end) + len(rest), f"{rest}{lines}")


def _inked(node: yaml.Node) -> bool:
    return bool(node.start_mark.index < node.end_mark.index)


def _lines(block: str, column: int) -> str:
    return "".join(f"\n{' ' * column}{line}" for line in block.split("\n"))


def _aligned(page: Page, path: Path, key: str, flow: str, column: int) -> str:
    """An entry whose value stands under those of the others, where those stand in line."""
    columns = set(_columns(page, path))
    room = columns.pop() - column - len(key) - 1 if len(columns) == 1 else 1
    return f"{key}:{' ' * max(1, room)}{flow}"


def cut_entry(page: Page, path: Path) -> Splice:
    """Take an entry out of its mapping."""
    key, node = page.pair(path)
    parent = page.node(path[:-1])
    if not isinstance(parent, yaml.MappingNode):
        raise KeyError(path)
    index = next(i for i, (other, _) in enumerate(parent.value) if other is key)
    end = page.end(node) if _inked(node) else max(key.end_mark.index, node.start_mark.index)
    if not parent.flow_style:
        return _whole_lines(page, key.start_mark.index, end)
    if index + 1 < len(parent.value):
        return Splice(key.start_mark.index, parent.value[index + 1][0].start_mark.index, "")
    if index:
        return Splice(page.end(parent.value[index - 1][1]), end, "")
    return Splice(parent.start_mark.index, parent.end_mark.index, "{}")


def _whole_lines(page: Page, start: int, end: int) -> Splice:
    """The lines from one character to another, with the line break behind them, or before them at the end."""
    first, last = page.line_start(start), page.line_end(end)
    if last < len(page.text):
        return Splice(first, last + 1, "")
    return Splice(max(0, first - 1), last, "")


def new_item(page: Page, path: Path, index: int, text: str) -> Splice:
    """Write a new item into the list at a path, before the one with this index or at the end."""
    key, node = page.pair(path)
    if isinstance(node, yaml.SequenceNode) and node.value and node.flow_style:
        if index < len(node.value):
            at = node.value[index].start_mark.index
            return Splice(at, at, f"{text}, ")
        at = page.end(node.value[-1])
        return Splice(at, at, f", {text}")
    if isinstance(node, yaml.SequenceNode) and node.value:
        column = node.start_mark.column
        if index < len(node.value):
            at = page.line_start(node.value[index].start_mark.index)
            return Splice(at, at, f"{' ' * column}- {text}\n")
        at = page.line_end(page.end(node))
        return Splice(at, at, _lines(f"- {text}", column))
    if page.in_flow(path):
        return Splice(node.start_mark.index, page.end(node), f"[{text}]")
    return _first_item(page, key, node, text)


def _first_item(page: Page, key: yaml.Node, node: yaml.Node, text: str) -> Splice:
    start, end = node.start_mark.index, page.end(node)
    if start < end:
        start = page.text.rindex(":", 0, start) + 1
    end = max(start, end)
    rest = page.text[end : page.line_end(end)]
    lines = _lines(f"- {text}", key.start_mark.column + INDENT)
    return Splice(start, end + len(rest), f"{rest}{lines}")


def cut_item(page: Page, path: Path) -> Splice:
    """Take an item out of its list; a list without items is written `[]`."""
    index = path[-1]
    parent = page.node(path[:-1])
    if not isinstance(parent, yaml.SequenceNode) or not isinstance(index, int):
        raise KeyError(path)
    node = parent.value[index]
    if len(parent.value) == 1:
        return new_value(page, path[:-1], "[]")
    if not parent.flow_style:
        return _whole_lines(page, node.start_mark.index, page.end(node))
    if index + 1 < len(parent.value):
        return Splice(node.start_mark.index, parent.value[index + 1].start_mark.index, "")
    return Splice(page.end(parent.value[index - 1]), page.end(node), "")


def swap_items(page: Page, path: Path, index: int) -> list[Splice]:
    """Swap an item of a list with the one behind it; in a block the comments behind them go along."""
    parent = page.node(path)
    if not isinstance(parent, yaml.SequenceNode):
        raise KeyError(path)
    spans = []
    for node in parent.value[index : index + 2]:
        start, end = node.start_mark.index, page.end(node)
        spans.append((start, end if parent.flow_style else page.line_end(end)))
    (a, b), (c, d) = spans
    return [Splice(a, b, page.text[c:d]), Splice(c, d, page.text[a:b])]


def without(page: Page, path: Path) -> str:
    """The text without what stands at a path; a mapping that is empty then holds nothing, a list is `[]`."""
    whole = copy.deepcopy(page.value)
    parent: Any = whole
    for step in path[:-1]:
        parent = parent[step]
    del parent[path[-1]]
    if isinstance(path[-1], int):
        return page.changed([cut_item(page, path)], whole)
    if not parent and not page.flows(path[:-1]):
        whole[str(path[0])] = None
    return page.changed([cut_entry(page, path)], whole)
