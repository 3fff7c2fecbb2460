"""The demo team's rules: version 1, the shipped figures under the team's name."""

from __future__ import annotations

from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules, shipped_rules

__all__ = ["fill"]


def fill() -> None:
    """Make version 1."""
    PolicyVersion.objects.create(
        number=1,
        name="Tern Harbor training policy",
        team="Tern Harbor rescue team",
        zone="America/Halifax",
        units="metric",
        rules=shipped_rules(),
        note="the shipped figures, taken over as they are",
    )
    forget_rules()
