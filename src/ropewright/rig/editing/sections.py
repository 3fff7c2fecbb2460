"""A key at the top of a file with all that it holds: where it comes, and how it goes without a trace."""

from __future__ import annotations

import copy
import re
from typing import Any

import yaml

from ropewright.rig.document import SECTIONS
from ropewright.rig.editing.page import EditError, Page, Splice
from ropewright.rig.editing.splices import cut_entry, new_entry, new_value
from ropewright.rig.yamltext import Path

__all__ = ["add_section", "without_trace"]

_ORDER = ("rig", "about", "units", *SECTIONS, "haul", "lower", "assume", "policy")
"""Keys of the file in the order in which they are written; a new one follows those before it."""
_OWN_LINE = re.compile(r"^[ \t]*#.*$", re.MULTILINE)


def add_section(page: Page, key: str, value: Any, flow: str, block: str | None = None) -> str:
    """The text with one more key at the top, in its usual place; one that held nothing is filled.

    flow: its value on one line; block: lines, key and all, written instead where there are no brackets.
    """
    if key in page.value:
        if page.value[key] is not None:
            raise EditError(f"`{key}` is stated already; change it there")
        return page.changed([new_value(page, (key,), flow)], {**page.value, key: value})
    before = [each for each in page.value if each in _ORDER[: _ORDER.index(key)]]
    if not before or page.root.flow_style:
        return page.changed([new_entry(page, (), key, flow, block)], {**page.value, key: value})
    last = before[-1]
    at = _past_its_comments(page, page.line_end(page.end_of((last,))))
    apart = "\n" if _blank_after(page, at) and (last, key) != ("haul", "lower") else ""
    lines = block if block is not None else f"{key}: {flow}"
    whole: dict[str, Any] = {}
    for each, other in page.value.items():
        whole[each] = other
        if each == last:
            whole[key] = value
    return page.changed([Splice(at, at, f"\n{apart}{lines}")], whole)


def _past_its_comments(page: Page, at: int) -> int:
    """Where a section ends with the comments set in below it."""
    while at < len(page.text) and page.text[at + 1 : at + 2] in (" ", "\t"):
        line = page.text[at + 1 : page.line_end(at + 1)]
        if not line.lstrip().startswith("#"):
            break
        at += 1 + len(line)
    return at


def _blank_after(page: Page, at: int) -> bool:
    """Whether a blank line, or nothing, follows the line that ends here."""
    return not page.text[at + 1 : page.line_end(at + 1)].strip()


def without_trace(page: Page, path: Path) -> str:
    """The text without an entry and without what then holds nothing. Comments on lines of their own stay,
    and so does the key at the top that they stand under.
    """
    path = _emptied(page, path)
    held = len(path) == 1 and _has_comments(page, path)
    whole: Any = copy.deepcopy(page.value)
    parent = whole
    for step in path[:-1]:
        parent = parent[step]
    if held:
        parent[path[-1]] = None
    else:
        del parent[path[-1]]
    text = page.changed([_cut(page, path, held=held)], whole)
    if len(_OWN_LINE.findall(text)) != len(_OWN_LINE.findall(page.text)):
        where = f"line {page.line(path)}"
        raise EditError(f"a comment stands among this, inside brackets, {where}; remove it in the text")
    return text


def _emptied(page: Page, path: Path) -> Path:
    """The outermost thing that holds nothing but what stands at a path."""
    while len(path) > 1:
        parent = page.node(path[:-1])
        if not isinstance(parent, yaml.MappingNode) or len(parent.value) > 1:
            break
        path = path[:-1]
    return path


def _has_comments(page: Page, path: Path) -> bool:
    """Whether comments stand behind the key itself, inside what it holds, or set in below that."""
    key, node = page.pair(path)
    if page.in_flow(path) or node.start_mark.line == key.end_mark.line:
        return False
    end = page.line_end(page.end(node))
    head = page.text[key.end_mark.index : page.line_end(key.end_mark.index)]
    return (
        "#" in head
        or bool(_OWN_LINE.search(page.text[:end], key.end_mark.index))
        or (_past_its_comments(page, end) > end)
    )


def _cut(page: Page, path: Path, *, held: bool) -> Splice:
    key, node = page.pair(path)
    if page.in_flow(path):
        return cut_entry(page, path)
    end = page.line_end(max(page.end(node), key.end_mark.index))
    start = page.line_end(key.end_mark.index) + 1 if held else page.line_start(key.start_mark.index)
    kept = "".join(f"{line}\n" for line in _OWN_LINE.findall(page.text, start, end))
    if len(path) == 1 and not held and not kept and _blank_after(page, end):
        above = page.line_start(max(0, start - 1))
        if start and not page.text[above:start].strip():
            start = above
    if end == len(page.text):
        return Splice(max(0, start - 1), end, f"\n{kept}".rstrip("\n") if kept else "")
    return Splice(start, end + 1, kept)
