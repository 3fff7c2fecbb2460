r"""Letters that the typeface of sheets has; anything else is shown as an escape such as \u6f22.

A sheet is refused by the tool for accessible PDF where a letter has no glyph, and a letter that a viewer
draws as a blank would be worse than one that is spelt out.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Any

__all__ = ["RANGES", "everywhere", "shown"]

RANGES: tuple[tuple[int, int], ...] = (
    (0x20, 0x7E),
    (0xA0, 0xAC),
    (0xAE, 0x17F),
    (0x386, 0x386),
    (0x388, 0x38A),
    (0x38C, 0x38C),
    (0x38E, 0x3A1),
    (0x3A3, 0x3CE),
    (0x400, 0x45F),
    (0x1E80, 0x1E85),
    (0x2010, 0x2015),
    (0x2018, 0x201E),
    (0x2020, 0x2022),
    (0x2026, 0x2026),
    (0x2030, 0x2030),
    (0x20AC, 0x20AC),
    (0x2190, 0x2193),
    (0x2212, 0x2212),
    (0x2248, 0x2248),
    (0x2260, 0x2260),
    (0x2264, 0x2265),
)
"""First and last of each run of characters that every weight used on a sheet can draw."""

_ENDLESS = r"[^\s-]{30}(?=[^\s-])"
"""Letters after which a word without a break is given one, so that it can't run out of its column."""

_UNIT = re.compile(r"(\d) (kN|lbf|mm|m|ft|in|kg|lb|T)\b")
"""A figure and its unit, which stay on one line."""
_TIMES = re.compile(r"(\d) × ")
"""A number of pieces, which stays with what it counts."""


def shown(text: str) -> str:
    """The text with what can't be drawn spelt out, white space made single, and endless words broken."""
    composed = unicodedata.normalize("NFC", text)
    out = "".join(c if _has(c) else " " if c.isspace() else _escape(c) for c in composed)
    whole = re.sub(_ENDLESS, r"\g<0> ", " ".join(out.split()))
    return re.sub(_TIMES, "\\1\u00a0×\u00a0", re.sub(_UNIT, "\\1\u00a0\\2", whole))


def everywhere(data: Any) -> Any:
    """The same for every string of nested lists and mappings."""
    if isinstance(data, str):
        return shown(data)
    if isinstance(data, dict):
        return {key: everywhere(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [everywhere(value) for value in data]
    return data


def _has(character: str) -> bool:
    code = ord(character)
    return any(low <= code <= high for low, high in RANGES)


def _escape(character: str) -> str:
    code = ord(character)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
