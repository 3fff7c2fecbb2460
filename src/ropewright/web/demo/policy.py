"""The demo team's rules: the shipped figures as version 1, and what the team made its own as version 2."""

from __future__ import annotations

from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules
from ropewright.web.policy.saving import KEPT, first_version

__all__ = ["fill"]

_ORDER = "Tern Harbor standing order 4 (invented)"
_WORDS = {
    "second-line": "belay",
    "lower": "down slow",
    "raise": "up",
    "on-hold": "hold",
    "for-real": "no drill",
}
_RESERVE = [
    {"type": "rope-12.5-low-stretch", "length": 60.96, "count": 2},
    {"type": "lower-raise-device", "length": None, "count": 2},
]


def fill() -> None:
    """Make both versions."""
    first = first_version("Tern Harbor rescue team", "America/Halifax", "metric", None)
    columns = {key: getattr(first, key) for key in KEPT}
    columns |= {
        "name": "Tern Harbor training policy",
        "edition": "NFPA 1006, 2021 edition, as adopted by the team",
        "rules": first.rules | {"most-haulers": {"value": 6, "source": _ORDER}},
        "ratios": first.ratios | {"night": {"students": 3, "source": _ORDER}},
        "words": _WORDS,
        "reserve": _RESERVE,
    }
    PolicyVersion.objects.create(number=2, note="our words, our reserve, six haulers at most", **columns)
    forget_rules()
