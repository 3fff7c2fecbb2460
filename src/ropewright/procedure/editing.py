"""Changing the steps of a procedure: each act is one change of the text, the rest stays as it stands.

Every function takes a text and gives the changed text. It raises EditError where the act makes no sense,
with a sentence for whoever asked, and UnreadableError where the text can't be followed as YAML at all.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass
from typing import Any

from ropewright.quantity import System
from ropewright.rig.editing.page import EditError, Page, Splice, UnreadableError, open_page
from ropewright.rig.editing.splices import cut_item, new_entry, new_item, swap_items
from ropewright.rig.editing.words import in_words
from ropewright.rig.faults import RigFileError
from ropewright.rig.fields import is_name
from ropewright.rig.writer import quoted
from ropewright.rig.yamltext import load_yaml

from .forms import StepError, read_step

__all__ = [
    "EditError",
    "StepLine",
    "UnreadableError",
    "add_step",
    "change_step",
    "move_step",
    "remove_step",
    "step_lines",
]


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step as it is written: who does what, on which line; ``fault`` says why it is no step."""

    index: int
    line: int
    doer: str
    words: str
    fault: str = ""


def step_lines(text: str) -> list[StepLine]:
    """The steps of a text in order. Errors: UnreadableError; EditError where they are no list."""
    page, steps = _steps(text)
    return [_line(page, k, item) for k, item in enumerate(steps)]


def _line(page: Page, index: int, item: Any) -> StepLine:
    line = page.line(("steps", index))
    if not isinstance(item, dict) or len(item) != 1:
        return StepLine(
            index, line, "", str(item), "say who does it and what: `- student: lock off descender`"
        )
    ((doer, words),) = item.items()
    try:
        read_step(str(doer), words, page.system)
    except StepError as error:
        return StepLine(index, line, str(doer), str(words), str(error))
    return StepLine(index, line, str(doer), str(words))


def add_step(text: str, index: int, doer: str, words: str) -> str:
    """Write a step before the one with this index, or at the end."""
    page, steps = _steps(text)
    index = min(max(index, 0), len(steps))
    item = _step(doer, words, page.system)
    if "steps" not in page.value:
        made = new_entry(page, (), "steps", f"[{_flow(item)}]", f"steps:\n  - {_block(item)}")
        return page.changed([made], {**page.value, "steps": [item]})
    brackets = page.in_flow(("steps",)) or (steps and page.flows(("steps",)))
    splice = new_item(page, ("steps",), index, _flow(item) if brackets else _block(item))
    return _with(page, [*steps[:index], item, *steps[index:]], [splice])


def change_step(text: str, index: int, doer: str, words: str) -> str:
    """Write a step in the place of another; a comment behind it stays."""
    page, steps = _steps(text, index)
    item = _step(doer, words, page.system)
    if item == steps[index]:
        return page.text
    node = page.node(("steps", index))
    brackets = page.in_flow(("steps", index)) or page.flows(("steps", index))
    splice = Splice(node.start_mark.index, page.end(node), _flow(item) if brackets else _block(item))
    return _with(page, [*steps[:index], item, *steps[index + 1 :]], [splice])


def move_step(text: str, index: int, step: int) -> str:
    """Move a step one place towards the start (`step` -1) or the end (1)."""
    page, steps = _steps(text, index)
    other = index + (1 if step > 0 else -1)
    if not 0 <= other < len(steps):
        raise EditError(f"this step is the {'last' if step > 0 else 'first'} already")
    first = min(index, other)
    moved = [*steps[:first], steps[first + 1], steps[first], *steps[first + 2 :]]
    return _with(page, moved, swap_items(page, ("steps",), first))


def remove_step(text: str, index: int) -> str:
    """Take a step out."""
    page, steps = _steps(text, index)
    return _with(page, [*steps[:index], *steps[index + 1 :]], [cut_item(page, ("steps", index))])


def _steps(text: str, index: int | None = None) -> tuple[Page, list[Any]]:
    page = open_page(text)
    steps = page.value.get("steps")
    if steps is None:
        steps = []
    if not isinstance(steps, list):
        raise EditError("`steps` holds no list of steps here; mend it in the text first")
    if index is not None and not 0 <= index < len(steps):
        raise EditError(f"there is no step {index + 1} any more; look at the steps again")
    return page, steps


def _step(doer: str, words: str, system: System) -> dict[str, str]:
    """A step as a plain value. Errors: EditError with the reader's own sentence."""
    doer, words = doer.strip(), " ".join(words.split())
    if not is_name(doer):
        raise EditError(f"found `{doer[:40]}`; who does it is one word of letters, digits, - and _")
    try:
        read_step(doer, words, system)
    except StepError as error:
        raise EditError(str(error)) from None
    return {doer: words}


def _flow(item: dict[str, str]) -> str:
    ((doer, words),) = item.items()
    return f"{{{in_words(doer)}: {in_words(words)}}}"


def _block(item: dict[str, str]) -> str:
    """A step on a line of its own, without quotes where it reads as just these words."""
    ((doer, words),) = item.items()
    plain = f"{doer}: {words}"
    try:
        tree = load_yaml(plain)
    except RigFileError:
        return f"{quoted(doer)}: {quoted(words)}"
    return plain if not tree.faults and tree.value == item else f"{quoted(doer)}: {quoted(words)}"


def _with(page: Page, steps: list[Any], splices: list[Splice]) -> str:
    whole = copy.deepcopy(page.value)
    whole["steps"] = steps
    return page.changed(splices, whole)
