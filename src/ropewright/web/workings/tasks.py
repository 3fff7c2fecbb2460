"""What is worked out beside the server for every room: a rig in full."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ropewright.web.policy.now import rules_numbered
from ropewright.web.workings.engine import worked_out

__all__ = ["rig"]


def rig(asked: Mapping[str, Any], tell: Callable[..., None]) -> dict[str, Any]:
    """Everything that `engine.summary_of` gives of a text."""
    return worked_out(asked["text"], rules_numbered(asked["rules"]), tell)
