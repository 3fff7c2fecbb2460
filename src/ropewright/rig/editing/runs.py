"""Changing the run of a rope: one contact added, changed, moved or taken out."""

from __future__ import annotations

import copy
from typing import Any

from ropewright.quantity import System
from ropewright.rig.contacts import ContactError, read_contact
from ropewright.rig.editing.names import part_at
from ropewright.rig.editing.page import EditError, Page, Splice, open_page
from ropewright.rig.editing.splices import new_item, new_value, swap_items, without
from ropewright.rig.editing.words import in_words

__all__ = ["add_contact", "change_contact", "contact_text", "move_contact", "remove_contact"]


def add_contact(text: str, rope: str, index: int, words: str) -> str:
    """Write a contact into a rope's run, before the one with this index or at the end."""
    page, run = _run(text, rope)
    index = min(max(index, 0), len(run))
    contact = contact_text(words, page.system)
    return _with_run(
        page,
        rope,
        [*run[:index], contact, *run[index:]],
        [new_item(page, ("ropes", rope, "run"), index, in_words(contact))],
    )


def change_contact(text: str, rope: str, index: int, words: str) -> str:
    """Write a contact in the place of another."""
    page, run = _run(text, rope, index)
    contact = contact_text(words, page.system)
    if contact == run[index]:
        return page.text
    splice = new_value(page, ("ropes", rope, "run", index), in_words(contact))
    return _with_run(page, rope, [*run[:index], contact, *run[index + 1 :]], [splice])


def move_contact(text: str, rope: str, index: int, step: int) -> str:
    """Move a contact one place towards the start (`step` -1) or the end (1) of its run."""
    page, run = _run(text, rope, index)
    other = index + (1 if step > 0 else -1)
    if not 0 <= other < len(run):
        raise EditError(f"this contact is the {'last' if step > 0 else 'first'} of `{rope}` already")
    first = min(index, other)
    moved = [*run[:first], run[first + 1], run[first], *run[first + 2 :]]
    return _with_run(page, rope, moved, swap_items(page, ("ropes", rope, "run"), first))


def remove_contact(text: str, rope: str, index: int) -> str:
    """Take a contact out of a run."""
    page, _ = _run(text, rope, index)
    return without(page, ("ropes", rope, "run", index))


def _run(text: str, rope: str, index: int | None = None) -> tuple[Page, list[Any]]:
    page = open_page(text)
    part = part_at(page, "ropes", rope)
    run = part.get("run")
    if run is None and "run" in part:
        run = []
    if not isinstance(run, list):
        raise EditError(f"`{rope}` has no list of contacts under `run`; mend it in the text first")
    if index is not None and not 0 <= index < len(run):
        raise EditError(f"`{rope}` has no contact {index + 1} any more; look at its run again")
    return page, run


def contact_text(words: str, system: System) -> str:
    """A contact's words in order. Errors: EditError with the reader's own sentence."""
    try:
        read_contact(words, system)
    except ContactError as error:
        raise EditError(str(error)) from None
    return " ".join(words.split())


def _with_run(page: Page, rope: str, run: list[Any], splices: list[Splice]) -> str:
    whole = copy.deepcopy(page.value)
    whole["ropes"][rope]["run"] = run
    return page.changed(splices, whole)
