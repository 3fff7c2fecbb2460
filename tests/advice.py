"""Advice that says what to state under `assume:`, read and followed."""

from __future__ import annotations

import re
from collections.abc import Iterable

import yaml

__all__ = ["advised", "stated"]

_STATE = re.compile(r"`assume: ([^:`]+): ([a-z-]+)`")
_VALUES = {
    "strength": "60 kN",
    "user-mass": "600 kg",
    "slips": "14 kN",
    "efficiency": 0.9,
    "ratio": 3.0,
    "friction": 0.3,
    "stiffness": "60 kN",
    "keeps": 0.7,
}


def advised(texts: Iterable[str]) -> set[tuple[str, str]]:
    """Every name and figure that the texts say to state."""
    return {(name, key) for text in texts for name, key in _STATE.findall(text)}


def stated(text: str, pieces: Iterable[tuple[str, str]]) -> str:
    """A rig's or a procedure's text with each figure stated as advised."""
    value = yaml.safe_load(text)
    for name, key in pieces:
        made = 0.2 if name.startswith("rope-") and key == "mass" else _VALUES.get(key, 1.0)
        value.setdefault("assume", {}).setdefault(name, {})[key] = made
    return yaml.safe_dump(value, sort_keys=False)
