"""The head of a rig's text changed: its title and what is said about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ropewright.rig.editing.page import EditError, Page, Splice, open_page
from ropewright.rig.editing.splices import cut_entry, new_entry, new_value
from ropewright.rig.editing.words import Field, typed, written

__all__ = ["HEADING", "change_heading", "heading_of"]

HEADING = (
    Field("rig", "words", "title", needed=True),
    Field("about", "words", "about, printed under the title"),
)
"""What stands before the parts; not `units`, which says what every bare number below it means."""


def heading_of(page: Page) -> dict[str, str]:
    """What stands at the head, as it would be typed."""
    return {field.key: _there(page, field.key) for field in HEADING}


def _there(page: Page, key: str) -> str:
    """What stands at a key, as it would be typed; nothing where it is written as nothing (`~`)."""
    return "" if page.value.get(key) is None else typed(page, (key,))


def change_heading(text: str, values: Mapping[str, str]) -> str:
    """Give the rig another title, or say something else about it; what is left empty is taken out.

    Errors: EditError, for a rig without a title too.
    """
    for field in HEADING:
        page = open_page(text)
        there = _there(page, field.key)
        new = " ".join(values.get(field.key, there).split())
        if new == there:
            continue
        if new:
            flow, value = written(field, new)
            text = _stated(page, field.key, flow, value)
        elif field.needed:
            raise EditError(f"{field.label}: found nothing; write what the rig is called")
        else:
            whole = {key: value for key, value in page.value.items() if key != field.key}
            text = page.changed([cut_entry(page, (field.key,))], whole)
    return text


def _stated(page: Page, key: str, flow: str, value: Any) -> str:
    """The text with a key of its head stated, under the title where it is new."""
    if key in page.value:
        return page.changed([new_value(page, (key,), flow)], {**page.value, key: value})
    if not page.root.flow_style and "rig" in page.value:
        at = page.line_end(page.end_of(("rig",)))
        whole = dict(_after_title(page.value, key, value))
        return page.changed([Splice(at, at, f"\n{key}: {flow}")], whole)
    return page.changed([new_entry(page, (), key, flow)], {**page.value, key: value})


def _after_title(whole: Mapping[str, Any], key: str, value: Any) -> Iterator[tuple[str, Any]]:
    for other, stands in whole.items():
        yield other, stands
        if other == "rig":
            yield key, value
