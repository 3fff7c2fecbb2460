"""What is worked out beside the server: what a large rig of a plan takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ropewright.web.planning.needs import worked_out
from ropewright.web.policy.now import rules_numbered

__all__ = ["needs"]


def needs(asked: Mapping[str, Any], tell: Callable[..., None]) -> dict[str, Any]:
    """What a rig takes and how it is judged; its summary is kept besides, where it was not there."""
    tell(0, 0, "every force, and every part failing in turn")
    return worked_out(asked["text"], rules_numbered(asked["rules"]), asked.get("mass"))
