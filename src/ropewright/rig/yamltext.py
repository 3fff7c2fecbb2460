"""YAML text to plain values that remember where they stood.

The scalars are those of YAML 1.2's core schema, so `no` and `1:30` are texts. What a rig file has no use for
and what surprises people (anchors, aliases, tags, repeated keys, documents) is refused with its place.
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from ropewright.rig.faults import Fault, RigFileError, shown

__all__ = [
    "MOST_BYTES",
    "MOST_LEVELS",
    "MOST_NODES",
    "Path",
    "Tree",
    "hidden_character",
    "is_blank",
    "load_yaml",
    "path_text",
    "reads_as_text",
]

MOST_BYTES = 1_000_000
MOST_LEVELS = 40
MOST_NODES = 50_000
MOST_DIGITS = 400

Path = tuple[str | int, ...]
Place = tuple[int, int]

_INTEGER = re.compile(r"[-+]?[0-9]+\Z")
_OCTAL = re.compile(r"0o[0-7]+\Z")
_HEX = re.compile(r"0x[0-9a-fA-F]+\Z")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?\Z")
_INFINITE = re.compile(r"[-+]?(\.inf|\.Inf|\.INF)\Z")
_WORDS = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
    **dict.fromkeys((".nan", ".NaN", ".NAN"), float("nan")),
}
# Control characters apart from tab and line ends; marks that turn the direction of text; characters without
# width or ink; and code points that are no characters. A file holding them can't be shown as it is, so it is
# refused rather than cleaned. The two joiners (U+200C, U+200D) stay: some scripts can't be written without.
_HIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u061c\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff"
    "\u00ad\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b\u2060-\u2065\u206a-\u206f\u2800\u3164\uffa0"
    "\ufff9-\ufffb\U000e0000-\U000e0fff]"
)


@dataclass(slots=True)
class Tree:
    """A document's plain value, the place of every key and value by path, and the faults met on the way."""

    value: Any = None
    values: dict[Path, Place] = field(default_factory=dict)
    keys: dict[Path, Place] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    refused: set[Path] = field(default_factory=set)

    def place(self, path: Path, *, key: bool = False) -> Place:
        """Give line and column of the value at a path, or of its key; a missing one has its parent's key."""
        if key and path in self.keys:
            return self.keys[path]
        while path and path not in self.values:
            path, key = path[:-1], True
        return (self.keys.get(path) if key else None) or self.values.get(path, (1, 1))

    def fault(self, path: Path, text: str, *, key: bool = False) -> Fault:
        """Make a fault that stands at a path."""
        return Fault(*self.place(path, key=key), path_text(path), text)


def path_text(path: Path) -> str:
    """Write a path as `ropes.main.run[2]`; list items count from 1."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else ("." if text else "") + shown(step).strip("`")
    return text


def load_yaml(text: str, source: str = "rig file") -> Tree:
    """Read one YAML document; raise RigFileError where the text can't be followed to its end."""
    hidden = _HIDDEN.search(text.removeprefix("\ufeff"))
    if hidden:
        raise RigFileError([_hidden_fault(text.removeprefix("\ufeff"), hidden)], source)
    try:
        return _Composer().compose(text.removeprefix("\ufeff"))
    except yaml.MarkedYAMLError as error:
        raise RigFileError([_syntax_fault(error, text)], source) from None
    except yaml.YAMLError as error:
        raise RigFileError([Fault(1, 1, "", f"this is not YAML text: {shown(str(error))}")], source) from None
    except _StopError as error:
        raise RigFileError([error.fault], source) from None


def hidden_character(text: str) -> str | None:
    """Name the first character that can't be printed as it is, or None."""
    found = _HIDDEN.search(text)
    if not found:
        return None
    return f"U+{ord(found[0]):04X} ({unicodedata.name(found[0], 'a control character').lower()})"


def is_blank(text: str) -> bool:
    """Whether a text has nothing to see: spaces, joiners and marks that stand on nothing."""
    return all(unicodedata.category(character)[0] in "CMZ" for character in text)


def reads_as_text(text: str) -> bool:
    """Whether a plain scalar with these characters would be read as text, not as a number or a word."""
    return isinstance(_plain_scalar(text), str)


def _hidden_fault(text: str, found: re.Match[str]) -> Fault:
    before = text[: found.start()]
    line, column = before.count("\n") + 1, found.start() - (before.rfind("\n") + 1) + 1
    name = hidden_character(found[0])
    return Fault(
        line, column, "", f"found the hidden character {name}; a rig file is plain text without them"
    )


def _syntax_fault(error: yaml.MarkedYAMLError, text: str) -> Fault:
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    problem = (error.problem or "the text breaks off").replace("did not find expected", "there is no")
    if text.split("\n")[line - 1 : line] and text.split("\n")[line - 1][column - 1 : column] == "\t":
        return Fault(line, column, "", "found a tab; indent with spaces")
    if "mapping values are not allowed" in problem:
        return Fault(
            line, column, "", "found a colon where none can stand; put words that hold `: ` in quotes"
        )
    if "cannot start any token" in problem:
        return Fault(line, column, "", f"{problem}; put the text in quotes")
    return Fault(
        line, column, "", f"the YAML can't be followed from here: {problem}; check indents, quotes, brackets"
    )


class _StopError(Exception):
    """Reading can't go on from here."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.text)
        self.fault = fault


@dataclass(slots=True)
class _Open:
    """A list or mapping whose end has not been met yet."""

    path: Path
    value: Any
    key: str | None = None
    repeated: bool = False

    def next_path(self) -> Path:
        return (*self.path, len(self.value)) if isinstance(self.value, list) else (*self.path, self.key or "")

    def add(self, value: Any) -> None:
        if isinstance(self.value, list):
            self.value.append(value)
            return
        if not self.repeated and self.key is not None:
            self.value[self.key] = value
        self.key, self.repeated = None, False


class _Composer:
    """Builds the tree from the parser's events with its own stack, so that depth costs no recursion."""

    def __init__(self) -> None:
        self.tree = Tree()
        self.stack: list[_Open] = []
        self.documents = 0
        self.nodes = 0

    def compose(self, text: str) -> Tree:
        for event in _events(text):
            if isinstance(event, yaml.DocumentStartEvent):
                self.documents += 1
                if self.documents > 1:
                    self._fault(event, (), "a second document starts here (`---`); write one rig in a file")
                    break
                if event.tags:
                    self._fault(event, (), "found a %TAG line; a rig file uses no tags")
            elif isinstance(event, yaml.NodeEvent):
                self._node(event)
            elif isinstance(event, yaml.SequenceEndEvent | yaml.MappingEndEvent):
                self._add(self.stack.pop().value)
        return self.tree

    def _node(self, event: yaml.NodeEvent) -> None:
        self.nodes += 1
        if self.nodes > MOST_NODES:
            raise _StopError(_fault_at(event, (), f"more than {MOST_NODES} values; a rig file holds one rig"))
        top = self.stack[-1] if self.stack else None
        if top is not None and isinstance(top.value, dict) and top.key is None:
            self._key(event, top)
            return
        path = top.next_path() if top else ()
        # A repeated key's value is read to its end without a trace: its places would hide the first one's.
        if not any(level.repeated for level in self.stack):
            self.tree.values[path] = _place(event)
            self._refuse_extras(event, path)
        if isinstance(event, yaml.ScalarEvent):
            self._add(self._scalar(event, path))
        elif isinstance(event, yaml.AliasEvent):
            self._add(None)
        else:
            self._open(event, _Open(path, [] if isinstance(event, yaml.SequenceStartEvent) else {}))

    def _open(self, event: yaml.Event, level: _Open) -> None:
        if len(self.stack) >= MOST_LEVELS:
            raise _StopError(
                _fault_at(event, (), f"nested more than {MOST_LEVELS} levels deep; a rig needs five")
            )
        self.stack.append(level)

    def _key(self, event: yaml.NodeEvent, top: _Open) -> None:
        if not isinstance(event, yaml.ScalarEvent):
            fault = _fault_at(
                event, top.path, "found a list, a mapping or an alias as a key; a key is one word"
            )
            raise _StopError(fault)
        top.key = event.value
        path = (*top.path, event.value)
        if event.value in top.value:
            first = self.tree.keys[path][0]
            text = f"{shown(event.value)} stands twice; the first is on line {first}. Rename or remove one"
            self._fault(event, path, text)
            top.repeated = True
            return
        self.tree.keys[path] = _place(event)
        self._refuse_extras(event, path)

    def _add(self, value: Any) -> None:
        if self.stack:
            self.stack[-1].add(value)
        else:
            self.tree.value = value

    def _refuse_extras(self, event: yaml.NodeEvent, path: Path) -> None:
        if isinstance(event, yaml.AliasEvent):
            self._fault(event, path, f"found the alias `*{event.anchor}`; write the value out")
        elif event.anchor:
            self._fault(
                event, path, f"found the anchor `&{event.anchor}`; write the value out where it is wanted"
            )
        tag = getattr(event, "tag", None)
        if tag:
            self._fault(event, path, f"found the tag {shown(tag)}; a rig file uses no tags")

    def _scalar(self, event: yaml.ScalarEvent, path: Path) -> Any:
        if not event.implicit[0]:  # in quotes or a block: always text
            return event.value
        try:
            return _plain_scalar(event.value)
        except ValueError as error:
            self._fault(event, path, str(error))
            return None

    def _fault(self, event: yaml.Event, path: Path, text: str) -> None:
        self.tree.faults.append(_fault_at(event, path, text))
        self.tree.refused.add(path)


def _events(text: str) -> Iterator[yaml.Event]:
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    events: Iterator[yaml.Event] = yaml.parse(text, Loader=loader)
    return events


def _place(event: yaml.Event) -> Place:
    mark = event.start_mark
    return (mark.line + 1, mark.column + 1) if mark else (1, 1)


def _fault_at(event: yaml.Event, path: Path, text: str) -> Fault:
    return Fault(*_place(event), path_text(path), text)


def _plain_scalar(text: str) -> Any:
    if text in _WORDS:
        return _WORDS[text]
    if len(text) > MOST_DIGITS and text[:20].lstrip("+-.").isdigit():
        raise ValueError(f"found {len(text)} characters that start as a number; no figure is that long")
    if _INTEGER.match(text):
        return int(text)
    if _OCTAL.match(text):
        return int(text[2:], 8)
    if _HEX.match(text):
        return int(text[2:], 16)
    if _FLOAT.match(text):
        return float(text)
    if _INFINITE.match(text):
        return float("-inf") if text.startswith("-") else float("inf")
    return text
