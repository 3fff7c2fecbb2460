"""Figures as pages and refusals show them: in both systems, the one that the team reads first."""

from __future__ import annotations

from ropewright.quantity import Kind, show
from ropewright.web.policy.now import rules_now

__all__ = ["shown"]


def shown(value: float, kind: Kind) -> str:
    """An SI figure with its units."""
    return show(value, kind, rules_now().units)
