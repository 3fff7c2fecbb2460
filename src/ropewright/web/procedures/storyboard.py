"""The storyboard put together: each scene with its picture and the steps that it shows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = ["scenes_of"]


def scenes_of(told: Mapping[str, Any], drawn: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The start and every step in order, each with the number of its scene; the step that begins a scene
    has its picture too (None while it is being drawn).
    """
    pictures = drawn.get("pictures", [])
    out = []
    last = -1
    for step in ({**told["start"], "n": 0, "doer": "", "do": "The start"}, *told["steps"]):
        begins = step["scene"] != last
        last = step["scene"]
        picture = pictures[last] if begins and last < len(pictures) else None
        out.append({**step, "begins": begins, "picture": picture})
    return out
